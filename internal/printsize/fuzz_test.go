package printsize

import "testing"

// Whatever a folder is named, it is refused or it is a size within the limits
// whose canonical name means the same.
func FuzzParse(f *testing.F) {
	for _, name := range []string{
		"A4 lustre", "a3+matte", "24x36in", "24 × 36″ rag", "29,7x42cm", "1x1.5m", "24in x 36in",
		"A12", "lustre A4", "24x36", "99999999999x1m", "A4 İx", "A4 - a", "B 3_x", "\xff", "10x10mm 1",
		"24x36in@300 rag", "A4 300 ppi", "A4@300 ppi", "JIS B4", "2ft 6in x 3'", "square 30cm", "70cm rag", "40 by 60 in",
		"A4 lustre x3", "3x A4", "A3 plus", "Super B", "8½x11in", "12 in progress", "8x10@240", "24in x 90cm", "A4 x3 x2",
		"A4 lustre top left x3", "A2 top", "A3+top", "A4 left right", "70cm top", "A4 table top", "A4 left bank", "A4 auto 2 copies", "24x36 centre",
	} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		folder, err := ParseFolder(name)
		if err != nil {
			offersMeanWhatTheySay(t, name)
			return
		}
		size, stock := folder.Size, folder.Stock
		if !(size.ShortMM() >= MinSideMM && size.LongMM() <= MaxSideMM) || len(stock) > MaxStockBytes {
			t.Fatalf("%q is %+v", name, folder)
		}
		if folder.PPI != 0 && !(folder.PPI >= MinPPI && folder.PPI <= MaxPPI) {
			t.Fatalf("%q has %v ppi", name, folder.PPI)
		}
		for _, f := range []Folder{folder, {Size: size}, {Size: size, Stock: stock}, {Size: size, PPI: folder.PPI}, {Size: size, Stock: stock, Crop: folder.Crop}} {
			meansItself(t, name, f)
		}
		if stock != "" {
			if same, err := ParseStock(stock); err != nil || same != stock {
				t.Fatalf("stock %q is stock %q (%v)", stock, same, err)
			}
		}
	})
}

// meansItself asks that a folder's canonical name is read back as the same.
func meansItself(t *testing.T, name string, f Folder) {
	t.Helper()
	if again, err := ParseFolder(f.Name()); err != nil || again != f {
		t.Fatalf("for %q: %+v is named %q, which is %+v (%v)", name, f, f.Name(), again, err)
	}
}

// offersMeanWhatTheySay asks that each name offered to the one who misnamed a folder is
// taken, and is the size that was meant by it.
func offersMeanWhatTheySay(t *testing.T, name string) (offered []string) {
	t.Helper()
	text := tidy(name)
	f, err := readFolder(text)
	bad, ok := remedied(err, text).(fault)
	if !ok {
		return nil
	}
	offered = bad.names(f)
	for i, offer := range offered {
		got, err := ParseFolder(offer)
		if err != nil || got.Size != bad.offers[i].Size {
			t.Fatalf("%q is offered %q, which is %+v (%v), not %+v", name, offer, got, err, bad.offers[i])
		}
	}
	return offered
}
