package demo

import (
	"bufio"
	"context"
	"image"
	"image/png"
	"os"
	"strconv"
	"syscall"
	"testing"
	"time"
)

type previewScene struct {
	make   func(uint64) scene
	look   look
	aspect float64
}

var previewScenes = map[string]previewScene{
	"dawn":     {dawn, look{space: srgbSpace, exposure: 0.9, contrast: 1.08, noise: 0.012, vignette: 0.3, salt: 1}, 1.5},
	"dusk":     {dusk, look{space: srgbSpace, exposure: 1, contrast: 1.08, noise: 0.012, vignette: 0.3, salt: 2}, 1.5},
	"stakes":   {stakes, look{space: srgbSpace, exposure: 1, contrast: 1.05, noise: 0.012, vignette: 0.3, salt: 5}, 2.0 / 3},
	"mud":      {lowWater, look{space: srgbSpace, exposure: 1, contrast: 1.1, noise: 0.014, vignette: 0.3, salt: 7}, 1.5},
	"fog":      {fog, look{space: srgbSpace, exposure: 1, contrast: 1.15, noise: 0.016, vignette: 0.3, salt: 5}, 1.5},
	"still":    {stillLife, look{space: srgbSpace, exposure: 1.1, contrast: 1, noise: 0.006, vignette: 0.2, salt: 4}, 1.5},
	"samphire": {samphire, look{space: a98Space, exposure: 1, contrast: 1.05, noise: 0.012, vignette: 0.25, salt: 3}, 1.5},
}

func cpu() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(0, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func TestPreview(t *testing.T) {
	name := os.Getenv("DEMO_PREVIEW")
	if name == "" {
		t.Skip()
	}
	h, _ := strconv.Atoi(os.Getenv("DEMO_H"))
	salt, _ := strconv.Atoi(os.Getenv("DEMO_SALT"))
	p := previewScenes[name]
	f := frame{int(float64(h)*p.aspect + 0.5), h}
	t0 := time.Now()
	c0 := cpu()
	layers := p.make(uint64(max(salt, 1)))(f)
	t1 := time.Now()
	c1 := cpu()
	img := image.NewRGBA(image.Rect(0, 0, f.w, f.h))
	if err := render(context.Background(), f, layers, developer(f, p.look, rgbPlate{img})); err != nil {
		t.Fatal(err)
	}
	c2 := cpu()
	n := 0
	for _, l := range layers {
		if s, ok := l.(*strokes); ok {
			n += len(s.all)
		}
	}
	t.Logf("build %v render %v strokes %d cpu %v + %v", t1.Sub(t0), time.Since(t1), n, c1-c0, c2-c1)
	o, _ := os.Create("/tmp/prev_" + name + ".png")
	b := bufio.NewWriterSize(o, 1<<20)
	(&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(b, img)
	b.Flush()
	o.Close()
}
