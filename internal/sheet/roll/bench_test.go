package roll

import (
	"fmt"
	"testing"
)

func BenchmarkPack(b *testing.B) {
	for _, n := range []int{8, 20, 50, 200, 1000} {
		var g generator
		for name, items := range map[string][]Item{"any": g.night(n, 80, 600), "known": g.known(n)} {
			b.Run(fmt.Sprint(name, "/", n), func(b *testing.B) {
				var p Plan
				for b.Loop() {
					p = Pack(items, Roll{WidthMM: 610, Left: 3, Right: 3, Leading: 3, Trailing: 20, GapMM: 5})
				}
				b.ReportMetric(100*(p.LengthMM/p.LowerBoundMM-1), "%over")
				b.ReportMetric(100*p.WasteShare, "%waste")
			})
		}
	}
}
