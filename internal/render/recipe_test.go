package render_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font/gofont/goregular"

	"sizewright/internal/caption"
	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/learned"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// full is a plan with everything that a recipe can hold.
func full(t *testing.T, src *photo.Photo) *order.Plan {
	t.Helper()
	o := onPaper(t, paper120, func(s *config.Settings) {
		s.OutputSharpening, s.PreSharpening, s.Grain, s.Kernel = 1, 1, 2, "mitchell"
		s.TrimMarks, s.BleedMM, s.Caption, s.CaptionMM, s.Bits = true, 4, "{name}, {date}", 4, 8
		s.Fit, s.Enlarge = config.FitFill, config.EnlargeLearned
	})
	o.Output = order.Output{Profile: colour.BuiltInA98(), Kind: order.ToWorkingSpace, Intent: colour.Relative, BlackPoint: true}
	font := filepath.Join(t.TempDir(), "font.ttf")
	if err := os.WriteFile(font, goregular.TTF, 0o600); err != nil {
		t.Fatal(err)
	}
	var err error
	if o.Face, err = caption.Open(font); err != nil {
		t.Fatal(err)
	}
	m := order.Measured{
		Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.006, Blur: 0.7, Edges: 300},
		Learned:     []render.Tried{triedOf(2), triedOf(4)},
	}
	return order.NewPlan(&src.Info, o).WithMeasurement(m, o)
}

func TestARecipeThatWentThroughJSONMakesTheSameBytes(t *testing.T) {
	src := save(t, patterned(301, 190))
	p := full(t, src)
	recipe := p.Recipe()
	text, err := json.Marshal(recipe)
	if err != nil {
		t.Fatal(err)
	}
	var sent render.Recipe
	if err := json.Unmarshal(text, &sent); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(sent, recipe) {
		t.Errorf("sent  %+v\narrived %+v", recipe, sent)
	}
	if here, there := tiffOf(t, recipe, src, p.Profiles, 2), tiffOf(t, sent, src, p.Profiles, 3); !bytes.Equal(here, there) {
		t.Error("it makes another file there")
	}
}

// What a recipe lacks would be missing where it is sent.
func TestAPlanLeavesNothingOutOfItsRecipe(t *testing.T) {
	recipe := full(t, save(t, patterned(301, 190))).Recipe()
	for _, path := range zeros(reflect.ValueOf(recipe), "recipe") {
		if path != "recipe.Crop.Y" { // the crop is at the sides
			t.Errorf("%s is not set", path)
		}
	}
}

// zeros returns the fields of a struct, and of structs in it, that are zero.
func zeros(v reflect.Value, path string) (all []string) {
	if v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	if v.IsZero() {
		return []string{path}
	}
	if v.Kind() == reflect.Struct {
		for i := range v.NumField() {
			all = append(all, zeros(v.Field(i), path+"."+v.Type().Field(i).Name)...)
		}
	}
	return all
}

func TestARecipeIsRefusedForWhatItIsNotFor(t *testing.T) {
	src := save(t, patterned(301, 190))
	p := full(t, src)
	for _, c := range []struct {
		what   string
		change func(*render.Recipe, *render.Profiles)
		words  string
	}{
		{"another picture", func(r *render.Recipe, _ *render.Profiles) { r.Picture.Width++ }, "302 x 190 px, not 301 x 190"},
		{"another version", func(r *render.Recipe, _ *render.Profiles) { r.Version++ }, "has version 2"},
		{"another profile", func(_ *render.Recipe, p *render.Profiles) { p.Output = p.Source }, "another output profile"},
		{"another font", func(r *render.Recipe, _ *render.Profiles) {
			r.Paper = &render.Paper{Caption: &render.Caption{Text: "Ebb", Font: "60303ae2"}}
		}, "a caption in another font"},
		{"no profile", func(_ *render.Recipe, p *render.Profiles) { p.Output = nil }, "another output profile"},
	} {
		recipe, profiles := p.Recipe(), p.Profiles
		c.change(&recipe, &profiles)
		if _, err := render.New(recipe, src, profiles); err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
}

// A print is made without a studio, a configuration, a decision or a clock: this package
// imports none of the first three, even indirectly, and does not ask for the time.
func TestWhatMakesAPrintKnowsNoStudioAndNoConfiguration(t *testing.T) {
	for list, forbidden := range map[string][]string{
		".Deps":    {"config", "order", "studio", "ladder", "record", "vision", "surface"},
		".Imports": {"caution", "hold", "printsize", "time"},
	} {
		out, err := exec.Command("go", "list", "-f", "{{join "+list+" \"\\n\"}}", ".").Output()
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range strings.Fields(string(out)) {
			if slices.Contains(forbidden, strings.TrimPrefix(name, "sizewright/internal/")) {
				t.Errorf("render is built of %s", name)
			}
		}
	}
}

func triedOf(enlargement float64) render.Tried {
	return render.Tried{Learned: render.Learned{Weights: learned.For(enlargement).Digest, Share: 0.5}, Gain: 1.1}
}
