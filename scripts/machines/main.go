//go:build linux

// Command machines measures on this machine what a print costs that a worker makes, beside
// one that is made in the studio: processor seconds of the studio's daemon, worker and server,
// and bytes. From these it simulates nights of one studio with 1 to 64 workers.
//
//	go run ./scripts/machines [-pictures 4] [-folder A2] [-hours 9]
//
// Processor seconds are what it goes by, since here daemon, worker and server share the cores.
package main

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/natstest"
)

func main() {
	pictures := flag.Int("pictures", 4, "how many pictures are made for a measurement")
	folder := flag.String("folder", "A2", "the size of the prints")
	hours := flag.Float64("hours", 9, "of a night")
	flag.Parse()
	if err := run(*pictures, *folder, *hours); err != nil {
		fmt.Fprintln(os.Stderr, "machines:", err)
		os.Exit(1)
	}
}

func run(pictures int, folder string, hours float64) error {
	dir, err := os.MkdirTemp("", "machines-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "sizewright")
	build := exec.Command("go", "build", "-ldflags", "-X sizewright/internal/machines.SendAll=yes", "-o", binary, "./cmd/sizewright")
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	all := []*costs{{name: "fixed"}, {name: "learned"}}
	fmt.Printf("| %s, CPU s a print | made in the studio | daemon | worker | server | sent MB | fetched MB | s from sending to checked |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n", folder)
	for _, c := range all {
		if err := c.measure(filepath.Join(dir, c.name), binary, folder, 1); err != nil {
			return err
		}
		fmt.Printf("| %s | %.1f | %.1f | %.1f | %.1f | %.0f | %.0f | %.1f |\n", c.name, c.here, c.daemon, c.worker, c.server, c.sent/1e6, c.fetched/1e6, c.took)
	}
	for _, c := range all {
		c.nights(hours * 3600)
	}
	many := &costs{name: "fixed"}
	if err := many.measure(filepath.Join(dir, "many"), binary, folder, pictures); err != nil {
		return err
	}
	one := all[0]
	fmt.Printf("\n%d prints by a worker take %.1f CPU s, %.1f by the costs of one.\n", pictures, float64(pictures)*(many.daemon+many.worker+many.server), float64(pictures)*(one.daemon+one.worker+one.server))
	return nil
}

// nights prints how many prints a night has with so many workers.
func (c *costs) nights(seconds float64) {
	fmt.Printf("\n| %s: workers | 1 Gbit/s: prints a night | busiest | 10 Gbit/s: prints a night | busiest |\n| ---: | ---: | --- | ---: | --- |\n", c.name)
	for _, n := range []int{0, 1, 2, 4, 8, 16, 32, 64} {
		slow, why := simulate(*c, n, 117e6, seconds)
		fast, whyFast := simulate(*c, n, 1170e6, seconds)
		fmt.Printf("| %d | %d | %s | %d | %s |\n", n, slow, why, fast, whyFast)
	}
}

// costs are what one print costs, in CPU seconds and bytes.
type costs struct {
	name                         string
	here, daemon, worker, server float64
	sent, fetched                float64
	took                         float64 // seconds
}

// measure makes n prints here, and again by a worker.
func (c *costs) measure(dir, binary, folder string, n int) error {
	print := "[print]\ntoo_small = \"make\"\n"
	if c.name == "learned" {
		print += "enlarge = \"learned\"\n"
	}
	here, _, err := once(filepath.Join(dir, "here"), binary, folder, print, n)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, "server"), 0o755); err != nil {
		return err
	}
	s, err := natstest.New(filepath.Join(dir, "server"))
	if err == nil {
		err = s.Start()
	}
	if err != nil {
		return err
	}
	defer s.Kill()
	w := exec.Command(binary, "worker", "--nats", s.URL, "--scratch", filepath.Join(dir, "scratch"), "--prints", fmt.Sprint(n))
	if err := w.Start(); err != nil {
		return err
	}
	daemon, made, err := once(filepath.Join(dir, "there"), binary, folder, print+"[machines]\nnats = \""+s.URL+"\"\n", n)
	w.Process.Signal(syscall.SIGTERM)
	w.Wait()
	server := s.CPU()
	if err != nil {
		return err
	}
	for _, m := range made {
		if m == nil || m.Worker == "" {
			return fmt.Errorf("a print was made here after all: %+v", m)
		}
		c.sent += float64(m.Sent) / float64(n)
		c.took += m.Seconds / float64(n)
		c.fetched += float64(m.Received) / float64(n)
	}
	c.here, c.daemon, c.worker, c.server = here/float64(n), daemon/float64(n), cpu(w.ProcessState)/float64(n), server/float64(n)
	return nil
}

func cpu(s *os.ProcessState) float64 { return (s.UserTime() + s.SystemTime()).Seconds() }

// once makes n prints in a new studio, and returns the CPU seconds and where they were made.
// With a server it begins once a worker had time to be heard.
func once(dir, binary, folder, toml string, n int) (seconds float64, made []*record.Made, err error) {
	if out, err := exec.Command(binary, "init", dir).CombinedOutput(); err != nil {
		return 0, nil, fmt.Errorf("%w: %s", err, out)
	}
	if err := os.WriteFile(filepath.Join(dir, "sizewright.toml"), []byte("[intake]\nsettle = \"4s\"\n"+toml), 0o644); err != nil {
		return 0, nil, err
	}
	for i := range n {
		if err := picture(filepath.Join(dir, "drop", folder, fmt.Sprintf("marsh%d.jpg", i)), uint64(i)); err != nil {
			return 0, nil, err
		}
	}
	run := exec.Command(binary, "once", "--studio", dir)
	if out, err := run.CombinedOutput(); err != nil {
		return 0, nil, fmt.Errorf("%w: %s", err, out)
	}
	entries, err := record.Reader{Root: dir}.Made(context.Background())
	for _, e := range entries {
		made = append(made, e.Record.Print.Made)
	}
	if len(made) != n {
		err = fmt.Errorf("%d prints of %d", len(made), n)
	}
	return cpu(run.ProcessState), made, err
}

// picture writes 12 megapixels with edges, slopes and some noise.
func picture(path string, seed uint64) error {
	const width, height = 4240, 2828
	r := rand.New(rand.NewPCG(seed, 1))
	img := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	for y := range height {
		for x := range width {
			c := color.YCbCrModel.Convert(color.Gray{uint8(60 + (x*y/4000+x/3)%120 + 40*(x/37%2) + r.IntN(12))}).(color.YCbCr)
			img.Y[img.YOffset(x, y)], img.Cb[img.COffset(x, y)], img.Cr[img.COffset(x, y)] = c.Y, 118, uint8(120+y/200)
		}
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := jpeg.Encode(f, img, &jpeg.Options{Quality: 92}); err != nil {
		return err
	}
	return os.Chtimes(path, time.Now(), time.Now().Add(-time.Minute))
}
