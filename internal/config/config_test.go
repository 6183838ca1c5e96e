package config

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"sizewright/internal/colour"
)

func mustParse(t *testing.T, text string) *Config {
	t.Helper()
	c, err := Parse("sizewright.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestAnEmptyFileChangesNothing(t *testing.T) {
	for _, text := range []string{"", "\ufeff# only a remark\r\n", "[print]\n[intake]\n[stock]\n[folder]\n"} {
		if c := mustParse(t, text); !reflect.DeepEqual(c, Default()) {
			t.Errorf("%q is %+v", text, c)
		}
	}
}

// 360 ppi is a wide-format inkjet's input resolution: common practice, no source.
func TestDefaults(t *testing.T) {
	c := Default()
	want := Settings{PPI: 360, Fit: "whole", Crop: "centre", Copies: 1, Bits: 16, Compression: "deflate", TooSmall: TooSmallHold, Acuity: 1, Kernel: "lanczos3", Enlarge: "kernel", Surface: "lustre", PreSharpening: 1, OutputSharpening: 1,
		Placement: "sheet", Border: "none", Bleed: "reflect", CaptionMM: 3, GapMM: 5, MayTurn: true,
		Intent: "relative", BlackPointCompensation: true, GamutCautionDeltaE: 6, GamutCautionShare: 0.03}
	if c.Print != want {
		t.Errorf("prints are made with %+v", c.Print)
	}
	if c.Cores != 0 || c.Settle != 2*time.Second || c.Rescan != time.Minute {
		t.Errorf("the studio runs with %+v", c)
	}
}

func TestEveryKeyIsRead(t *testing.T) {
	c := mustParse(t, `
[work]
cores = 3
[intake]
settle = "500ms"
rescan = "1h30m"
[print]
ppi = 300
fit = "fill"
crop = "top left"
bits = 8
copies = 3
compression = "lzw"
viewing_distance_mm = 1500.5
minimum_ppi = 90
too_small = "make"
acuity = 1.2
caution_ppi = 150
kernel = "mitchell"
enlarge = "learned"
surface = "canvas"
pre_sharpening = 0.5
blur_px = 0.8
output_sharpening = 0
grain = 1.5
media = ["roll", "sheet"]
mode = "fine"
placement = "printable"
raise = 0.05
border = "bottom-weighted"
border_mm = 20
border_bottom_mm = 30
outer_width_mm = 300
outer_height_mm = 400
overlap_mm = 3
bleed = "replicate"
bleed_mm = 0
wrap_mm = 0
pack = true
may_turn = false
gap_mm = 2
lane_mm = 1
trim_marks = true
caption = "{name}"
caption_mm = 4
caption_font = "serif.otf"
price_per_m2 = 12.5
price_per_metre = 0
price_per_sheet = 0
currency = "EUR"
pace_m2_per_hour = 4
profile = "profiles/Lustre.ICM"
intent = "perceptual"
black_point_compensation = false
working_space = ""
strict_profile = true
gamut_caution_delta_e = 3
gamut_caution_share = 0.5
[media.roll]
kind = "roll"
width_mm = 610
margin_left_mm = 5
max_length_mm = 9000
thickness = "0.3 mm"
[media.roll.mode.fine]
side = "trailing"
extra_mm = 12
times = 2
[media.sheet]
kind = "sheet"
width_mm = 420
length_mm = 594
[media.sheet.mode.fine]
side = "left"
extra_mm = 1
[stock.rag]
working_space = "romm"
`)
	if c.Cores != 3 || c.Settle != 500*time.Millisecond || c.Rescan != 90*time.Minute {
		t.Errorf("the studio runs with %+v", c)
	}
	want := Settings{
		PPI: 300, Fit: FitFill, Crop: "top left", Copies: 3, Bits: 8, Compression: CompressionLZW,
		ViewingDistanceMM: 1500.5, MinimumPPI: 90, TooSmall: TooSmallMake, Acuity: 1.2, CautionPPI: 150,
		Kernel: "mitchell", Enlarge: "learned", Surface: "canvas", PreSharpening: 0.5, BlurPX: 0.8, OutputSharpening: 0, Grain: 1.5,
		Media: "roll\nsheet", Mode: "fine", Placement: "printable", Raise: 0.05, Border: "bottom-weighted", BorderMM: 20, BorderBottom: 30,
		OuterWidthMM: 300, OuterHeightMM: 400, OverlapMM: 3, Bleed: "replicate", BleedMM: 0, WrapMM: 0, Pack: true, GapMM: 2, LaneMM: 1, TrimMarks: true,
		Caption: "{name}", CaptionMM: 4, CaptionFont: "serif.otf", PricePerM2: 12.5, Currency: "EUR", M2PerHour: 4,
		Profile: "profiles/Lustre.ICM", Intent: colour.Perceptual, StrictProfile: true, GamutCautionDeltaE: 3, GamutCautionShare: 0.5,
	}
	if c.Print != want {
		t.Errorf("prints are made with %+v, want %+v", c.Print, want)
	}
	want.Profile, want.WorkingSpace = "", "romm"
	if got := c.Settings("", "rag"); got != want {
		t.Errorf("prints on rag are made with %+v, want %+v", got, want)
	}
}

// The file and the print record call a setting by one name.
func TestRecordsUseTheNamesOfTheFile(t *testing.T) {
	data, err := json.Marshal(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(data, &fields); err != nil {
		t.Fatal(err)
	}
	for _, k := range printKeys {
		if _, ok := fields[k.name]; !ok {
			t.Errorf("%s has another name in records", k.name)
		}
	}
	if len(fields) != len(printKeys) {
		t.Errorf("%d settings have %d keys", len(fields), len(printKeys))
	}
}

func TestEachKeyHasAFieldOfItsOwn(t *testing.T) {
	other := Settings{
		PPI: 300, Fit: FitFill, Crop: "top left", Copies: 3, Edition: 25, Label: true, Bits: 8, Compression: CompressionLZW,
		ViewingDistanceMM: 1000, MinimumPPI: 50, TooSmall: TooSmallMake, Acuity: 1.5, CautionPPI: 60,
		Kernel: "mitchell", Enlarge: "learned", Surface: "matte", PreSharpening: 0.5, BlurPX: 0.8, OutputSharpening: 0, Grain: 1.5,
		Media: "roll", Mode: "fine", Placement: "printable", Raise: 0.1, Border: "mat", BorderMM: 1, BorderBottom: 2,
		OuterWidthMM: 3, OuterHeightMM: 4, OverlapMM: 5, Bleed: "replicate", BleedMM: 6, WrapMM: 7, Pack: true, PackFile: true, GapMM: 2, LaneMM: 1, TrimMarks: true,
		Caption: "{name}", CaptionMM: 8, CaptionFont: "serif.otf", PricePerM2: 9, PricePerMetre: 10, PricePerSheet: 11, Currency: "EUR", M2PerHour: 12,
		Profile: "lustre.icc", Intent: colour.Absolute, WorkingSpace: "a98", StrictProfile: true, GamutCautionDeltaE: 3, GamutCautionShare: 0.5,
	}
	done := Default().Print
	for i, k := range printKeys {
		before := done
		k.copy(&done, &other)
		if done == before || reflect.ValueOf(done).Field(i).Interface() != reflect.ValueOf(other).Field(i).Interface() {
			t.Errorf("%s does not hold field %s", k.name, reflect.TypeFor[Settings]().Field(i).Name)
		}
	}
}

func TestLimitsOfEachKey(t *testing.T) {
	tests := []struct {
		table, key string
		good, bad  []string
	}{
		{"work", "cores", []string{"0", "256"}, []string{"-1", "257", "1.5", `"2"`, "true"}},
		{"intake", "settle", []string{`"0s"`, `"1h"`}, []string{`"-1s"`, `"1h1s"`, `"2"`, "2", `""`}},
		{"intake", "rescan", []string{`"1s"`, `"24h"`}, []string{`"999ms"`, `"24h1s"`, "60"}},
		{"intake", "stalled_after", []string{`"1m"`, `"24h"`}, []string{`"59s"`, `"25h"`, "30"}},
		{"work", "between", []string{`""`, `"22:00-07:00"`, `"9:00 - 17:00"`}, []string{`"22-7"`, `"22:00-22:00"`, `"24:00-01:00"`, "22"}},
		{"work", "keep", []string{`""`, `"1 day"`, `"30 days"`, `"36500 days"`}, []string{"30", `"30"`, `"0 days"`, `"30 d"`, `"36501 days"`, `"-1 days"`}},
		{"work", "keep_free_mib", []string{"0", "10485760"}, []string{"-1", "10485761", "1.5", `"1"`}},
		{"machines", "nats", []string{`""`, `"nats://host:4222"`, `"tls://a, tls://b:4333"`}, []string{`"host:4222"`, `"http://host"`, `"nats://"`, "4222"}},
		{"machines", "credentials", []string{`""`, `"studio.creds"`}, []string{"1", `"a
b"`}},
		{"machines", "ca", []string{`""`, `"/etc/ssl/ca.pem"`}, []string{"true"}},
		{"morning", "ends_at", []string{"0", "23"}, []string{"-1", "24", "1.5", `"12"`}},
		{"morning", "units", []string{`"both"`, `"mm"`, `"in"`}, []string{`"cm"`, `""`, "1"}},
		{"print", "ppi", []string{"72", "2880", "359.5"}, []string{"71.9", "2881", "0", "-360", "nan", "inf", `"360"`}},
		{"print", "fit", []string{`"whole"`, `"fill"`}, []string{`"Whole"`, `""`, "1"}},
		{"print", "crop", []string{`"centre"`, `"auto"`, `"top"`, `"bottom right"`}, []string{`"center"`, `"right bottom"`, `""`, "1"}},
		{"print", "copies", []string{"1", "999"}, []string{"0", "1000", "1.5", `"3"`}},
		{"print", "edition", []string{"0", "25", "9999"}, []string{"-1", "10000", "1.5", `"25"`}},
		{"print", "label", []string{"true", "false"}, []string{"1", `"yes"`}},
		{"print", "bits", []string{"8", "16"}, []string{"0", "12", "32", `"16"`}},
		{"print", "compression", []string{`"deflate"`, `"lzw"`, `"none"`}, []string{`"zip"`, "0"}},
		{"print", "viewing_distance_mm", []string{"0", "100", "100_000"}, []string{"99", "100_001", "-1", "nan"}},
		{"print", "minimum_ppi", []string{"0", "10", "2880"}, []string{"9", "2881", "-1", "nan"}},
		{"print", "too_small", []string{`"hold"`, `"largest"`, `"make"`}, []string{`"shrink"`, `""`, "1"}},
		{"print", "acuity", []string{"0.25", "1", "3"}, []string{"0", "3.1", "-1", "nan"}},
		{"print", "caution_ppi", []string{"0", "10", "2880"}, []string{"9", "2881", "-1", "inf"}},
		{"print", "kernel", []string{`"lanczos3"`, `"mitchell"`}, []string{`"Lanczos"`, `""`, "3"}},
		{"print", "enlarge", []string{`"kernel"`, `"learned"`}, []string{`"Learned"`, `""`, "2"}},
		{"print", "surface", []string{`"glossy"`, `"lustre"`, `"matte"`, `"canvas"`}, []string{`"gloss"`, `""`, "1"}},
		{"print", "blur_px", []string{"0", "0.3", "3"}, []string{"0.2", "3.1", "-1", "nan"}},
		{"print", "grain", []string{"0", "5", "0.5"}, []string{"-0.1", "5.1", "inf"}},
		{"print", "pre_sharpening", []string{"0", "2", "0.25"}, []string{"-0.1", "2.1", "nan", "[1]"}},
		{"print", "output_sharpening", []string{"0", "2"}, []string{"-0.1", "2.1", "1979-05-27"}},
		{"print", "media", []string{`[]`}, []string{"1", `[1]`, `[""]`, `"nowhere"`, `["nowhere"]`}},
		{"print", "mode", []string{`""`}, []string{"1", `"a\nb"`}},
		{"print", "placement", []string{`"sheet"`, `"printable"`}, []string{`"paper"`, `""`}},
		{"print", "raise", []string{"0", "0.1"}, []string{"-0.01", "0.11", "nan"}},
		{"print", "border", []string{`"none"`, `"even"`, `"bottom-weighted"`, `"outer"`, `"mat"`}, []string{`"wide"`, `""`, "5"}},
		{"print", "border_mm", []string{"0", "1000"}, []string{"-1", "1001", "nan"}},
		{"print", "border_bottom_mm", []string{"0", "1000"}, []string{"-1", "1001"}},
		{"print", "outer_width_mm", []string{"0", "20000"}, []string{"-1", "20001"}},
		{"print", "outer_height_mm", []string{"0", "20000"}, []string{"-1", "20001"}},
		{"print", "overlap_mm", []string{"0", "100"}, []string{"-1", "101"}},
		{"print", "bleed", []string{`"reflect"`, `"stretch"`, `"replicate"`, `"mirror"`, `"extend"`}, []string{`"none"`, "3"}},
		{"print", "bleed_mm", []string{"0", "100"}, []string{"-1", "101"}},
		{"print", "wrap_mm", []string{"0", "300"}, []string{"-1", "301"}},
		{"print", "pack", []string{"true", "false"}, []string{"1"}},
		{"print", "pack_file", []string{"true", "false"}, []string{"1", `"yes"`}},
		{"print", "may_turn", []string{"true", "false"}, []string{"1"}},
		{"print", "gap_mm", []string{"0", "200"}, []string{"-1", "201"}},
		{"print", "lane_mm", []string{"0", "200"}, []string{"-1", "201"}},
		{"print", "trim_marks", []string{"true", "false"}, []string{"1", `"yes"`}},
		{"print", "caption", []string{`""`, `"{name}, {size}"`}, []string{"1", `"a\nb"`}},
		{"print", "caption_mm", []string{"1", "50"}, []string{"0", "51"}},
		{"print", "caption_font", []string{`""`, `"a.ttf"`, `"/b/C d.OTF"`}, []string{`"a"`, `"a.ttc"`, `"a.woff"`, `"https://x/a.ttf"`, "1"}},
		{"print", "price_per_m2", []string{"0", "12.5"}, []string{"-1", "nan"}},
		{"print", "price_per_metre", []string{"0", "12.5"}, []string{"-1", "inf"}},
		{"print", "price_per_sheet", []string{"0", "12.5"}, []string{"-1", `"2"`}},
		{"print", "currency", []string{`""`, `"EUR"`}, []string{"1", `"a long currency"`}},
		{"print", "pace_m2_per_hour", []string{"0", "1000"}, []string{"-1", "1001"}},
		{"print", "profile", []string{`""`, `"a.icc"`, `"A B.ICM"`, `"/b/../c.icc"`, `"\u0130:\\\".icc"`},
			[]string{`"a"`, `"icc"`, `"a.icc "`, `"a.icc/"`, `"a.tif"`, `"https://x/a.icc"`, `"FILE:a.icc"`, `"a\u0000.icc"`, `"a\n.icc"`, "1"}},
		{"print", "intent", []string{`"relative"`, `"perceptual"`, `"saturation"`, `"absolute"`}, []string{`""`, `"Relative"`, "1"}},
		{"print", "black_point_compensation", []string{"true", "false"}, []string{"1", `"true"`, "True"}},
		{"print", "working_space", []string{`""`, `"srgb"`, `"a98"`, `"romm"`}, []string{`"sRGB"`, `"rgb"`, `" "`, "98"}},
		{"print", "strict_profile", []string{"true", "false"}, []string{"0", `""`, "yes"}},
		{"print", "gamut_caution_delta_e", []string{"1", "3.0", "6"}, []string{"0", "2", "3.5", "-3", "nan", "inf", `"3"`}},
		{"print", "gamut_caution_share", []string{"0", "0.015", "1"}, []string{"-0.01", "1.01", "nan", `"1%"`}},
	}
	checked := 0
	for _, test := range tests {
		for _, value := range test.good {
			mustParse(t, line(test.table, test.key, value))
		}
		for _, value := range test.bad {
			if _, err := Parse("sizewright.toml", []byte(line(test.table, test.key, value))); err == nil {
				t.Errorf("%s = %s is let pass", test.key, value)
			}
		}
		checked++
	}
	if all := len(intakeKeys) + len(workKeys) + len(machinesKeys) + len(morningKeys) + len(printKeys); checked != all {
		t.Errorf("%d of %d keys are checked", checked, all)
	}
}

func line(table, key, value string) string {
	if table == "" {
		return key + " = " + value
	}
	return "[" + table + "]\n" + key + " = " + value
}
