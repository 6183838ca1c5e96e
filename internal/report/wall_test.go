package report

import (
	"fmt"
	"image"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/report/wall"
)

// TestTheNightIsOnTheFirstScreen: the figures and the whole wall, of 36 pictures with
// twelve held, at one scale, whatever the browser makes of the layout.
func TestTheNightIsOnTheFirstScreen(t *testing.T) {
	s := newStudio(t)
	n := s.mixed(36)
	file := filepath.Join(s.Root, "outbox/morning/wall.html")
	s.Put("outbox/morning/wall.html", []byte(s.page(n)))
	b := newBrowser(t)
	for _, screen := range []struct{ width, height, most int }{{1400, 900, 900}, {1280, 800, 900}, {390, 844, 2 * 844}, {320, 568, 2 * 844}} {
		b.screen(screen.width, screen.height, "light", "screen")
		b.visit(file)
		var got struct {
			Bottom, First float64
			Pieces, Small int
			Least, Most   float64
			Overlaps      int
		}
		b.eval(`(() => {
			const all = [...document.querySelectorAll(".piece")].map(e => ({t: e.getBoundingClientRect(), p: e.querySelector(".pic").getBoundingClientRect(), w: +getComputedStyle(e).getPropertyValue("--w")}));
			const scales = all.map(x => x.p.width / x.w);
			let overlaps = 0;
			all.forEach((a, i) => all.slice(0, i).forEach(b => { if (a.t.left < b.t.right - .5 && b.t.left < a.t.right - .5 && a.t.top < b.t.bottom - .5 && b.t.top < a.t.bottom - .5) overlaps++ }));
			return {bottom: document.querySelector(".wall").getBoundingClientRect().bottom, first: document.querySelector(".piece:not(.held) img").getBoundingClientRect().top,
				pieces: all.length, small: all.filter(x => x.t.width < 23.9 || x.t.height < 23.9).length, least: Math.min(...scales), most: Math.max(...scales), overlaps}
		})()`, &got)
		if got.Pieces != 36 || got.Small != 0 || got.Overlaps != 0 {
			t.Errorf("%d px: %+v, want 36 pieces, none under 24 px, none over another", screen.width, got)
		}
		if math.Abs(got.Most/got.Least-1) > 0.02 { // the browser sets lengths in 64ths of a px
			t.Errorf("%d px: the scale goes from %g to %g px a mm", screen.width, got.Least, got.Most)
		}
		if got.Bottom > float64(screen.most) || got.First > 900 {
			t.Errorf("%d px: the wall ends at %.0f px of %d, the first ready picture is at %.0f", screen.width, got.Bottom, screen.most, got.First)
		}
		if over := b.wide(); over != "" {
			t.Errorf("%d px: %s", screen.width, over)
		}
	}
}

// TestAPieceThatHangsLargeIsNotSoft: alone, a print is some 500 px wide on the wall.
func TestAPieceThatHangsLargeIsNotSoft(t *testing.T) {
	s := newStudio(t)
	one := s.shown(s.Made("A3", "a.jpg"), 0)
	wall, _, _ := strings.Cut(s.page(nightOf(one)), `class="legend"`)
	if !strings.Contains(wall, `width="480"`) {
		t.Error("it hangs with 240 px")
	}
	var many []record.Entry
	for i := range 30 {
		many = append(many, s.shown(s.Made("A3", fmt.Sprintf("%d.jpg", i)), i))
	}
	wall, _, _ = strings.Cut(s.page(nightOf(many...)), `class="legend"`)
	if strings.Contains(wall, `width="480"`) {
		t.Error("small pieces carry large pictures")
	}
}

func TestPicturesHeldForOneCauseStandTogether(t *testing.T) {
	s := newStudio(t)
	page := plain(s.page(nightOf(s.TooSmall("A2", "a.jpg"), s.TooSmall("40x60in", "b.jpg"), s.TooSmall("A2", "c.jpg"), s.Unreadable("A4", "d.jpg"))))
	after(t, page, ">Three pictures are too small for their sizes<", "Drop each into the folder of a size that it carries", ">b.jpg<", ">a.jpg<", ">c.jpg<", ">One picture is damaged<", ">d.jpg<")
}

func TestEachJobHasItsOwnDecisions(t *testing.T) {
	s := newStudio(t)
	page := plain(s.page(nightOf(s.TooSmall("Marsh exhibition/A2", "a.jpg"), s.TooSmall("Gallery/A2", "b.jpg"), s.TooSmall("Marsh exhibition/A2", "c.jpg"))))
	after(t, page, ">One picture is too small for A2 <small>in <bdi>Gallery</bdi>", ">b.jpg<", ">Two pictures are too small for A2 <small>in <bdi>Marsh exhibition</bdi>", ">a.jpg<", ">c.jpg<")
}

func TestAHeldPictureMadeLaterTheSameNightIsSettled(t *testing.T) {
	s := newStudio(t)
	held := s.TooSmall("A2", "a.jpg")
	made := s.Made("A3", "a.jpg") // the same bytes, by the test's digest
	page := plain(s.page(nightOf(held, made)))
	if strings.Contains(page, `class="piece held"`) {
		t.Error("it hangs beside its print")
	}
	after(t, page, ">0</b> need you<", ">Settled<", "made later the same night, for <bdi>A3</bdi>")
	if earlier := settledIn([]record.Entry{made, s.TooSmall("A2", "a.jpg")}); len(earlier) != 0 {
		t.Error("settled by a print from before")
	}
}

// TestTwoHundredPrintsHangWithinTwoScreensOfAPhone: 390 by 844 px, of which the sentence, the
// figures and the legend take some 400.
func TestTwoHundredPrintsHangWithinTwoScreensOfAPhone(t *testing.T) {
	s := newStudio(t)
	folders := []string{"24x36in", "A4", "40x60in", "A2", "A5", "40x60in", "A4", "30x90cm", "A3", "50x70cm", "A6", "A2"}
	shapes := []image.Point{{6240, 4160}, {4160, 6240}, {5000, 5000}, {9000, 3000}, {5200, 4000}}
	var entries []record.Entry
	var cards []card
	for i := range 200 {
		s.Pixels = shapes[i%len(shapes)]
		r := s.Printed(folders[i%len(folders)], fmt.Sprint(i, ".jpg"))
		if r.Order.Size == "40x60in" {
			r.Plan.Refusal = &order.Refusal{WidthMM: r.Print.WidthMM / 4, HeightMM: r.Print.HeightMM / 4}
			r.Hold(&r.Plan.Refusal.Hold)
			r.Print = nil
		}
		entries, cards = append(entries, record.Entry{Record: *r}), append(cards, card{})
	}
	w := newWall(Millimetres, entries, cards)
	room := rooms[1].Screen
	room.Gap, room.Above, room.Below = pieceGap, pieceAbove, pieceLabel
	if got := wall.Hang(w.prints(), room); got.Height > 2*844-400 || got.PXPerMM < 0.04 {
		t.Errorf("%.0f px high at %g px a mm", got.Height, got.PXPerMM)
	}
	said := 0
	for _, h := range w.Hung {
		if strings.Contains(h.Label+h.Pieces[0].Label, "A4") {
			said++
		}
		for _, p := range h.Pieces {
			if !strings.Contains(p.Says, "A") && !strings.Contains(p.Says, "x") || !h.Fan() && !strings.Contains(p.Says, p.Label) {
				t.Errorf("a piece that shows %q says %q", p.Label, p.Says)
			}
		}
	}
	if said > 12 {
		t.Errorf("A4 is said %d times of 33", said)
	}
}

func TestHeldAtOneSizeHangsFannedOut(t *testing.T) {
	s := newStudio(t)
	n := nightOf(s.TooSmall("40x60in", "a.jpg"), s.TooSmall("A2", "b.jpg"), s.TooSmall("40x60in", "c.jpg"), s.Made("A5", "d.jpg"), s.Made("A3", "e.jpg"))
	_, hang, _ := strings.Cut(plain(s.page(n)), `class="hang"`)
	after(t, hang, "e.jpg, A3", "d.jpg, A5", "b.jpg, held A2", `class="fan"`, "a.jpg, held 40x60in", "c.jpg, held 40x60in", "<b>held 40x60in × 2</b>")
	if strings.Count(hang, `class="fan"`) != 1 {
		t.Error("what has no other of its size is fanned out")
	}
}
