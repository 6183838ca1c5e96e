package machines

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/caption"
	"sizewright/internal/config"
	"sizewright/internal/isolate"
	decide "sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/testkit/natstest"
	"sizewright/internal/testkit/reference"
)

func TestMain(m *testing.M) {
	if isolate.Main() {
		return
	}
	beatEvery, silentFor, ackWait = 100*time.Millisecond, time.Second, 2*time.Second
	pullWithin, stallAfter, goneFor, askWithin, pause = 2*time.Second, 6*time.Second, 3*time.Second, time.Second, time.Second
	partWithin = 3 * time.Second
	os.Exit(m.Run())
}

// studio is an owner with what it told of.
type studio struct {
	*Owner
	mu   sync.Mutex
	told []string
}

func owner(t *testing.T, s *natstest.Server) *studio {
	t.Helper()
	st := &studio{}
	o, err := NewOwner(Server{URL: s.URL}, zap.NewNop(), func(text, remedy string) {
		st.mu.Lock()
		defer st.mu.Unlock()
		st.told = append(st.told, text)
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(o.Close)
	st.Owner = o
	return st
}

func (s *studio) says(text string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return strings.Contains(strings.Join(s.told, "\n"), text)
}

// worker runs until the test ends, or until the function is called.
func worker(t *testing.T, s *natstest.Server, change func(*Worker)) (stop func()) {
	t.Helper()
	w := &Worker{Server: Server{URL: s.URL}, Name: "press", Cores: 1, Scratch: filepath.Join(t.TempDir(), "scratch"), Log: zap.NewNop()}
	if change != nil {
		change(w)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := w.Run(ctx); err != nil {
			t.Errorf("a worker: %v", err)
		}
		left, _ := filepath.Glob(filepath.Join(w.Scratch, "*"))
		if len(left) > 0 {
			t.Errorf("a worker leaves %q", left)
		}
	}()
	stop = sync.OnceFunc(func() { cancel(); <-done })
	t.Cleanup(stop)
	return stop
}

// until waits for what must come.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for range 1500 {
		if is() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("%s: not within 15 s", what)
}

// aPrint is one of a picture with edges and slopes, and the file that is made of it here.
func aPrint(t *testing.T, change func(*config.Settings), edits ...func(*render.Recipe, *render.Profiles)) (Print, []byte) {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	for y := range 200 {
		for x := range 300 {
			img.SetNRGBA(x, y, color.NRGBA{uint8(x * y / 97), uint8(x), uint8(255 * (x / 20 % 2)), 255})
		}
	}
	var data bytes.Buffer
	if err := png.Encode(&data, img); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "marsh.png")
	if err := os.WriteFile(path, data.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	src, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	size, _, err := printsize.Parse("60x90mm")
	if err != nil {
		t.Fatal(err)
	}
	s := config.Default().Settings("60x90mm", "")
	s.TooSmall = config.TooSmallMake
	if change != nil {
		change(&s)
	}
	asked := decide.Order{Size: size, Settings: s}
	m, _ := decide.Measure(src, asked)
	plan := decide.NewPlan(&src.Info, asked).WithMeasurement(m, asked)
	recipe := plan.Recipe()
	recipe.File.BandRows = 64
	for _, edit := range edits {
		edit(&recipe, &plan.Profiles)
	}
	h, err := recipe.Header(&src.Info, plan.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	here := &file{}
	if _, err := render.WriteTIFF(t.Context(), here, recipe, src, plan.Profiles, render.Options{Workers: 2}); err != nil {
		t.Fatal(err)
	}
	return Print{
		Recipe: recipe, Header: h, Profiles: plan.Profiles, Path: path, SHA256: fmt.Sprintf("%x", sha256.Sum256(data.Bytes())), Bytes: int64(data.Len()),
		Limits: photo.DefaultLimits(), Progress: func(string, float64) {},
		Decode: func(context.Context) (*photo.Photo, error) { return photo.Open(path, photo.DefaultLimits()) },
	}, here.data
}

// file is one in memory.
type file struct {
	data []byte
	at   int
}

func (f *file) Write(p []byte) (int, error) {
	f.data = append(f.data[:f.at], append(p[:len(p):len(p)], f.data[min(f.at+len(p), len(f.data)):]...)...)
	f.at += len(p)
	return len(p), nil
}

func (f *file) Seek(offset int64, whence int) (int64, error) {
	f.at = int(offset)
	if whence == io.SeekEnd {
		f.at += len(f.data)
	}
	return int64(f.at), nil
}

// there has a print made on another machine, as soon as one is free.
func (s *studio) there(t *testing.T, p Print) (*Made, []byte, error) {
	t.Helper()
	until(t, "a free worker", func() bool { return s.Capacity() > 0 })
	s.Owner.mu.Lock()
	s.Owner.seats++
	s.Owner.mu.Unlock()
	f := &file{}
	_, made, err := s.Make(t.Context(), &Seat{}, p, f)
	return made, f.data, err
}

func TestAPrintIsTheSameBytesOnAnotherMachine(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, nil)
	for name, change := range map[string]func(*config.Settings){
		"usual":            nil,
		"8 bits, LZW":      func(s *config.Settings) { s.Bits, s.Compression, s.Grain = 8, "lzw", 2 },
		"in another space": func(s *config.Settings) { s.WorkingSpace = "romm" },
	} {
		p, here := aPrint(t, change)
		made, there, err := o.there(t, p)
		if err != nil || !bytes.Equal(here, there) || made.Worker != "press" || made.Checked != checkStrips || made.Received == 0 {
			t.Errorf("%s: %d bytes, not the %d made here: %+v %v", name, len(there), len(here), made, err)
		}
	}
	face, err := caption.Open("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
	if err != nil {
		t.Fatal(err)
	}
	p, here := aPrint(t, nil, func(r *render.Recipe, p *render.Profiles) {
		p.Face = face
		r.Paper = &render.Paper{
			Width: r.Print.Width + 100, Height: r.Print.Height + 100, Picture: sheet.PixelRect{X: 50, Y: 20, Width: r.Print.Width, Height: r.Print.Height},
			Ink:     sheet.PixelRect{X: 50, Y: 20, Width: r.Print.Width, Height: r.Print.Height},
			Caption: &render.Caption{Text: "Marsh", Font: face.Digest(), Place: sheet.PixelRect{X: 50, Y: r.Print.Height + 30, Width: r.Print.Width, Height: 40}},
		}
	})
	if _, there, err := o.there(t, p); err != nil || !bytes.Equal(here, there) {
		t.Errorf("with a caption in a font of its own: %d bytes, not %d: %v", len(there), len(here), err)
	}
	o.Owner.mu.Lock()
	defer o.Owner.mu.Unlock()
	if o.seats != 0 || len(o.orders) != 0 {
		t.Errorf("%d seats and %d orders are left", o.seats, len(o.orders))
	}
}

// One picture in several sizes is stored once, and nothing of results stays.
func TestASourceIsStoredOnce(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, nil)
	p, _ := aPrint(t, nil)
	for i := range 2 {
		made, _, err := o.there(t, p)
		if err != nil || (made.Sent == 0) != (i > 0) {
			t.Errorf("print %d: %+v, %v", i, made, err)
		}
	}
	all, err := o.objects.List(t.Context())
	if err != nil || len(all) != 2 {
		t.Errorf("%d objects are in the store, not the source and its profile: %v", len(all), err)
	}
}

// A strip of its own making costs one order: the print is made here, and the worker gets
// nothing more, under whatever run of its name.
func TestAWorkerThatLiesIsGivenNoMore(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	stop := worker(t, server, func(w *Worker) {
		w.lie = func(strip []byte, _ int) []byte {
			strip = bytes.Clone(strip)
			strip[len(strip)/2] ^= 1
			return strip
		}
	})
	p, _ := aPrint(t, nil)
	if _, _, err := o.there(t, p); err == nil || !o.says("press is given no more orders: a strip that it sent is not what its recipe makes") {
		t.Errorf("a lie passes: %v, told %q", err, o.told)
	}
	stop()
	worker(t, server, nil)
	until(t, "the worker is seen", func() bool { return len(o.Status().Workers) == 1 })
	if o.Capacity() != 0 || o.Status().Workers[0].Idle == "" {
		t.Errorf("it is given orders again: %+v", o.Status())
	}
}

func TestAWorkerOfAnotherVersionIsGivenNothing(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, func(w *Worker) { w.print = fingerprint("another", render.RecipeVersion) })
	until(t, "the worker is seen", func() bool { return len(o.Status().Workers) == 1 })
	if w := o.Status().Workers[0]; o.Capacity() != 0 || !strings.Contains(w.Idle, "its version is") {
		t.Errorf("it is given orders: %+v", w)
	}
}

// Without room on its disk a worker takes nothing, says so, and the order comes back.
func TestAWorkerWithoutRoomTakesNothing(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, nil)
	p, _ := aPrint(t, nil)
	p.Room = 1 << 60
	said := make(chan bool)
	go func() {
		for range 30 {
			time.Sleep(100 * time.Millisecond)
			if all := o.Status().Workers; len(all) == 1 && strings.Contains(all[0].Idle, "has no room for a print: it takes up to") {
				said <- true
				return
			}
		}
		close(said)
	}()
	if _, _, err := o.there(t, p); err == nil || !strings.Contains(err.Error(), "no worker got on with it") {
		t.Errorf("made without room: %v", err)
	}
	if !<-said {
		t.Error("its status does not say why")
	}
}

// halting runs a worker that closes reached and halts at its first strip, until going is
// closed.
func halting(t *testing.T, s *natstest.Server) (reached, going chan struct{}, stop func()) {
	t.Helper()
	reached, going = make(chan struct{}), make(chan struct{})
	stop = worker(t, s, func(w *Worker) {
		once := sync.OnceFunc(func() { close(reached) })
		w.lie = func(strip []byte, _ int) []byte { once(); <-going; return strip }
	})
	return reached, going, stop
}

// A worker that stops gives back what it has in hand, and another makes it.
func TestWhatAStoppedWorkerHadInHandIsMadeByAnother(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	reached, going, stop := halting(t, server)
	p, here := aPrint(t, nil)
	go func() {
		<-reached
		worker(t, server, func(w *Worker) { w.Name = "second" })
		go stop()
		time.Sleep(200 * time.Millisecond)
		close(going)
	}()
	made, there, err := o.there(t, p)
	if err != nil || made.Worker != "second" || !bytes.Equal(here, there) {
		t.Errorf("%+v, %v", made, err)
	}
}

// Nobody waits for ever, whatever becomes of the server; and it is told.
func TestWithoutTheServerOrdersComeBack(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, func(w *Worker) {
		w.lie = func(strip []byte, i int) []byte {
			if i == 0 {
				server.Kill()
			}
			return strip
		}
	})
	p, _ := aPrint(t, nil)
	if _, _, err := o.there(t, p); err == nil {
		t.Error("a print was made without a server")
	}
	if !o.says("the server of [machines] was not reached") {
		t.Errorf("told %q", o.told)
	}
	if seat, why, _ := o.Seat(&p.Recipe, 1, 1, 1, p.SHA256); seat != nil || why == "" || !o.says("the server of [machines] was not reached") {
		t.Errorf("a seat %v (%s), told %q", seat, why, o.told)
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	until(t, "the server is back", func() bool { return o.Capacity() > 0 })
	if _, _, err := o.there(t, p); err == nil {
		t.Error("the server was to be killed again")
	}
}

// A server that starts anew in the middle of an order costs time, and no order.
func TestAServerThatStartsAnewLosesNothing(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	var once sync.Once
	worker(t, server, func(w *Worker) {
		w.lie = func(strip []byte, _ int) []byte {
			once.Do(func() {
				server.Kill()
				if err := server.Start(); err != nil {
					t.Error(err)
				}
			})
			return strip
		}
	})
	p, here := aPrint(t, nil)
	_, there, err := o.there(t, p)
	if err != nil || !bytes.Equal(here, there) {
		t.Errorf("%d bytes, not %d: %v", len(there), len(here), err)
	}
}

func TestAFullServerIsToldOf(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, nil)
	p, _ := aPrint(t, nil)
	if _, _, err := o.there(t, p); err != nil {
		t.Fatal(err)
	}
	server.Kill()
	server.Room = "1KB"
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	p, _ = aPrint(t, func(s *config.Settings) { s.WorkingSpace = "romm" })
	if _, _, err := o.there(t, p); err == nil || !o.says("has no room for pictures") {
		t.Errorf("made on a full server: %v, told %q", err, o.told)
	}
}

// What was changed in the store is not printed, and nobody is blamed for it.
func TestAChangedObjectIsNotUsed(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	worker(t, server, nil)
	p, _ := aPrint(t, nil)
	p.SHA256 = strings.Repeat("ab", 32) // the store holds other bytes under this digest
	if _, _, err := o.there(t, p); err == nil {
		t.Error("a print was made of other bytes")
	}
	if o.says("given no more") {
		t.Errorf("told %q", o.told)
	}
}

// A worker that stands still for longer than the server waits loses its order to another,
// and what it says of it later is not heard.
func TestAWorkerThatStoodStillIsTooLate(t *testing.T) {
	t.Parallel()
	server := natstest.Run(t)
	o := owner(t, server)
	reached, going, _ := halting(t, server)
	p, here := aPrint(t, nil)
	go func() {
		<-reached
		worker(t, server, func(w *Worker) { w.Name = "second" })
	}()
	made, there, err := o.there(t, p)
	close(going)
	if err != nil || made.Worker != "second" || !bytes.Equal(here, there) {
		t.Errorf("%+v, %v", made, err)
	}
	until(t, "the first is done with it", func() bool {
		for _, w := range o.Status().Workers {
			if len(w.Hand) > 0 {
				return false
			}
		}
		return true
	})
	if all, err := o.objects.List(t.Context()); err != nil || len(all) != 2 {
		t.Errorf("%d objects are left in the store: %v", len(all), err)
	}
}

// Whatever a worker says of itself, the owner counts on no more than a machine can do.
func TestABeatIsBounded(t *testing.T) {
	t.Parallel()
	b := beat{Worker: strings.Repeat("w", 1000), Prints: 1 << 30, Hand: make([]inHand, 1000), Trouble: "a\nb"}
	b.Hand[0].Share = 1e9
	b.bound()
	if len(b.Worker) != maxText || b.Prints != maxPrints || len(b.Hand) != maxPrints || b.Hand[0].Share != 1 || strings.Contains(b.Trouble, "\n") {
		t.Errorf("%d %d %d %v %q", len(b.Worker), b.Prints, len(b.Hand), b.Hand[0].Share, b.Trouble)
	}
}

// A server that asks for TLS and a password is reached with them, and by nobody else.
func TestAServerWithTLS(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	ca := filepath.Join(dir, "ca.pem")
	key := filepath.Join(dir, "key.pem")
	reference.Output(t, "openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
		"-subj", "/CN=localhost", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", key, "-out", ca)
	server, err := natstest.New(dir)
	if err != nil {
		t.Fatal(err)
	}
	server.TLS = fmt.Sprintf("tls { cert_file: %q, key_file: %q }\nauthorization { user: marsh, password: reed }", ca, key)
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(server.Kill)
	address := strings.TrimPrefix(server.URL, "nats://")
	for _, c := range []struct {
		server Server
		want   bool
	}{
		{Server{URL: "tls://marsh:reed@" + address, CA: ca}, true},
		{Server{URL: "tls://marsh:reed@" + address}, false},
		{Server{URL: "tls://" + address, CA: ca}, false},
	} {
		o, err := NewOwner(c.server, zap.NewNop(), func(string, string) {})
		if err != nil {
			t.Fatal(err)
		}
		if s := o.Status(); s.Reached != c.want || strings.Contains(s.Server, "reed") {
			t.Errorf("%+v: %+v", c.server, s)
		}
		o.Close()
	}
}

// Nothing but digests and IDs leads to what a worker reads.
func TestAnOrderNamesNoPath(t *testing.T) {
	t.Parallel()
	good := `{"id":"` + strings.Repeat("0", 32) + `","owner":"` + strings.Repeat("a", 32) + `","source":{"sha256":"` + strings.Repeat("b", 64) + `","bytes":1},"output_profile":{"sha256":"` + strings.Repeat("c", 64) + `","bytes":1}}`
	if _, err := readOrder([]byte(good)); err != nil {
		t.Fatal(err)
	}
	for _, change := range [][2]string{
		{strings.Repeat("0", 32), "../../etc"}, {strings.Repeat("a", 32), "*"}, {strings.Repeat("b", 64), "../../etc/passwd"},
		{strings.Repeat("c", 64), ">"}, {`"bytes":1`, `"bytes":-1`},
	} {
		if _, err := readOrder([]byte(strings.Replace(good, change[0], change[1], 1))); err == nil {
			t.Errorf("%q is taken", change[1])
		}
	}
}
