package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"golang.org/x/image/draw"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	xtiff "golang.org/x/image/tiff"

	"sizewright/configs"
	"sizewright/internal/colour"
	"sizewright/internal/isolate"
)

// The scripts in testdata/script run the commands as a person would type them.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/script",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"profile":   profileCmd,
			"font":      fontCmd,
			"picture":   pictureCmd,
			"chunk":     chunkCmd,
			"valid":     validCmd,
			"fifo":      fifoCmd,
			"cut":       cutCmd,
			"damage":    damageCmd,
			"waitfor":   waitforCmd,
			"until":     untilCmd,
			"terminate": terminateCmd,
		},
	})
}

func TestMain(m *testing.M) {
	if isolate.Main() {
		return
	}
	testscript.Main(m, map[string]func(){
		"sizewright": func() { os.Exit(run()) },
		"exits":      exitsMain,
		"oneline":    onelineMain,
		"stubborn":   stubbornMain,
	})
}

// fontCmd is the command `font FILE italic|bold`.
func fontCmd(ts *testscript.TestScript, _ bool, args []string) {
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), map[string][]byte{"italic": goitalic.TTF, "bold": gobold.TTF}[args[1]], 0o600))
}

// exitsMain is the command `exits CODE COMMAND...`: it runs a command that must
// end with this exit status.
func exitsMain() {
	cmd := exec.Command(os.Args[2], os.Args[3:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	err := cmd.Run()
	if got := strconv.Itoa(cmd.ProcessState.ExitCode()); got != os.Args[1] {
		fmt.Fprintf(os.Stderr, "ended with %s, want %s (%v)\n", got, os.Args[1], err)
		os.Exit(1)
	}
}

// onelineMain is the command `oneline CODE COMMAND...`: as exits, of a command that must
// say one line and nothing else.
func onelineMain() {
	var said bytes.Buffer
	cmd := exec.Command(os.Args[2], os.Args[3:]...)
	cmd.Stdout, cmd.Stderr = &said, &said
	_ = cmd.Run() // its exit status tells
	os.Stderr.Write(said.Bytes())
	if got := strconv.Itoa(cmd.ProcessState.ExitCode()); got != os.Args[1] || bytes.Count(said.Bytes(), []byte("\n")) != 1 {
		fmt.Fprintf(os.Stderr, "ended with %s, want %s, and one line\n", got, os.Args[1])
		os.Exit(1)
	}
}

// stubbornMain is the command `stubborn BEGUN TOLD`: a daemon that takes a minute to stop.
// It makes one file when it has started, and the other when it is told to stop.
func stubbornMain() {
	ctx, stop := untilTold(context.Background())
	defer stop()
	touch(os.Args[1])
	<-ctx.Done()
	touch(os.Args[2])
	time.Sleep(time.Minute)
}

func touch(name string) {
	if err := os.WriteFile(name, nil, 0o644); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// picture FILE WIDTHxHEIGHT [textured|enlarged] writes a picture of a slope and a
// fine check, or of texture at every fineness, or of such texture enlarged four times;
// the name's suffix gives the format.
func pictureCmd(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: picture FILE WIDTHxHEIGHT [textured|enlarged]")
	}
	var w, h int
	if _, err := fmt.Sscanf(args[1], "%dx%d", &w, &h); err != nil {
		ts.Fatalf("%s: %v", args[1], err)
	}
	var img image.Image
	switch strings.Join(args[2:], "") {
	case "":
		img = checked(w, h)
	case "textured":
		img = textured(w, h)
	case "enlarged":
		large := image.NewRGBA(image.Rect(0, 0, w, h))
		small := textured(w/4, h/4)
		draw.CatmullRom.Scale(large, large.Rect, small, small.Bounds(), draw.Src, nil)
		img = large
	}
	var buf bytes.Buffer
	var err error
	switch filepath.Ext(args[0]) {
	case ".png":
		err = png.Encode(&buf, img)
	case ".tif":
		err = xtiff.Encode(&buf, img, nil)
	default:
		err = jpeg.Encode(&buf, img, nil)
	}
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), buf.Bytes(), 0o644))
}

func checked(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.RGBA{uint8(x * 255 / w), uint8(y * 255 / h), uint8((x ^ y) & 8 * 16), 255})
		}
	}
	return img
}

// textured draws discs over discs of every size ("dead leaves"), whose statistics are like
// those of natural pictures (used to measure cameras in ISO/TS 19567-2, from memory).
func textured(w, h int) image.Image {
	r := rand.New(rand.NewPCG(3, 5))
	img := image.NewGray(image.Rect(0, 0, w, h))
	const least, most = 0.7, 150.0 // px; between them the number falls with the cube of the radius
	for range w * h / 4 {
		u := r.Float64()
		radius := 1 / math.Sqrt((1-u)/(least*least)+u/(most*most))
		leaf(img, r.Float64()*float64(w), r.Float64()*float64(h), radius, 40+r.Float64()*175)
	}
	return img
}

// leaf draws a disc on a picture, with an edge one pixel soft.
func leaf(img *image.Gray, cx, cy, radius, grey float64) {
	for y := int(cy - radius - 1); y <= int(cy+radius+1); y++ {
		for x := int(cx - radius - 1); x <= int(cx+radius+1); x++ {
			covered := min(max(radius+0.5-math.Hypot(float64(x)-cx, float64(y)-cy), 0), 1)
			if covered == 0 || !(image.Point{X: x, Y: y}).In(img.Rect) {
				continue
			}
			at := img.PixOffset(x, y)
			img.Pix[at] = uint8(math.Round(float64(img.Pix[at])*(1-covered) + grey*covered))
		}
	}
}

// chunk FILE.png NAME HEX puts a chunk after a PNG's header.
func chunkCmd(ts *testscript.TestScript, _ bool, args []string) {
	whole, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	data, err := hex.DecodeString(args[2])
	ts.Check(err)
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, args[1]...), data...)
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
	const afterHeader = 8 + 12 + 13
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), slices.Concat(whole[:afterHeader], b, whole[afterHeader:]), 0o644))
}

// profile srgb|romm FILE writes a built-in profile.
func profileCmd(ts *testscript.TestScript, _ bool, args []string) {
	data := map[string]func() []byte{"srgb": colour.SRGBProfile, "romm": colour.ROMMProfile, "dull": dullProfile}[args[0]]()
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), data, 0o644))
}

// dullProfile is the profile of a paper with a small gamut: sRGB with its primaries halfway
// to its white.
func dullProfile() []byte {
	dull := colour.SRGB
	dull.Name = "A dull paper"
	for _, p := range []*colour.Chromaticity{&dull.Red, &dull.Green, &dull.Blue} {
		p.X, p.Y = (p.X+dull.White.X)/2, (p.Y+dull.White.Y)/2
	}
	return dull.Profile()
}

// valid record|morning|status FILE... checks files against their JSON Schema.
func validCmd(ts *testscript.TestScript, neg bool, args []string) {
	schemas := map[string][]byte{"record": configs.PrintRecordSchema, "morning": configs.MorningSchema, "status": configs.StatusSchema}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemas[args[0]]))
	ts.Check(err)
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	ts.Check(c.AddResource("schema.json", doc))
	schema, err := c.Compile("schema.json")
	ts.Check(err)
	for _, name := range args[1:] {
		value, err := jsonschema.UnmarshalJSON(strings.NewReader(ts.ReadFile(name)))
		ts.Check(err)
		if err := schema.Validate(value); (err == nil) == neg {
			ts.Fatalf("%s: %v", name, err)
		}
	}
}

// fifo FILE makes a named pipe.
func fifoCmd(ts *testscript.TestScript, _ bool, args []string) {
	ts.Check(syscall.Mkfifo(ts.MkAbs(args[0]), 0o644))
}

// cut FILE SHARE keeps that many per cent of a file.
func cutCmd(ts *testscript.TestScript, _ bool, args []string) {
	data := ts.ReadFile(args[0])
	var share int
	_, err := fmt.Sscan(args[1], &share)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(data[:len(data)*share/100]), 0o644))
}

// damage FILE overwrites the middle of a file, and keeps its end.
func damageCmd(ts *testscript.TestScript, _ bool, args []string) {
	data := []byte(ts.ReadFile(args[0]))
	middle := data[len(data)/2 : len(data)*3/4]
	for i := range middle {
		middle[i] = 0xff
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o644))
}

// waitfor FILE waits until a file exists, a minute at most.
func waitforCmd(ts *testscript.TestScript, _ bool, args []string) {
	for range 600 {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	ts.Fatalf("%s did not appear", args[0])
}

// until TEXT COMMAND... runs a command again and again until it prints a text, a minute
// at most.
func untilCmd(ts *testscript.TestScript, _ bool, args []string) {
	for range 600 {
		ts.Check(ts.Exec(args[1], args[2:]...))
		if strings.Contains(ts.ReadFile("stdout"), args[0]) {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	ts.Fatalf("%v never prints %q", args[1:], args[0])
}

// terminate sends SIGTERM to what runs in the background.
func terminateCmd(ts *testscript.TestScript, _ bool, _ []string) {
	for _, c := range ts.BackgroundCmds() {
		ts.Check(c.Process.Signal(syscall.SIGTERM))
	}
}
