package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// row is one method's means.
type row struct {
	method  method
	all     score
	factors []score
}

// report writes the Markdown table and a summary.
func report(w io.Writer, b *bench, results []result) {
	rows, failed := rowsOf(b, results)
	fmt.Fprintf(w, "%d photographs (%s), reduced by %s and enlarged back; means, best PSNR first.\n\n",
		len(b.pictures), names(b.pictures), strings.Trim(fmt.Sprint(b.factors), "[]"))
	header, rule := "| method | PSNR dB | SSIM | overshoot % | 99.9th % | RGB PSNR dB |", "| --- | --- | --- | --- | --- | --- |"
	for _, s := range b.factors {
		header += fmt.Sprintf(" %dx PSNR | SSIM | 99.9th %% |", s)
		rule += " --- | --- | --- |"
	}
	fmt.Fprintln(w, header)
	fmt.Fprintln(w, rule)
	for _, r := range rows {
		fmt.Fprintln(w, r)
	}
	for _, f := range failed {
		fmt.Fprintf(w, "\nNot in the table: %s\n", f)
	}
	summary(w, rows)
}

func (r row) String() string {
	name := r.method.name
	if r.method.ours {
		name = "**" + name + "**"
	}
	line := fmt.Sprintf("| %s | %.3f | %.4f | %.4f | %.2f | %.3f |", name, r.all.psnr, r.all.ssim, r.all.over, r.all.over999, r.all.rgb)
	for _, s := range r.factors {
		line += fmt.Sprintf(" %.2f | %.4f | %.2f |", s.psnr, s.ssim, s.over999)
	}
	return line
}

// rowsOf returns the means of each method that made every picture, and the first error of
// each that did not.
func rowsOf(b *bench, results []result) (rows []row, failed []string) {
	for _, m := range b.methods {
		r := row{method: m}
		var all []score
		var first error
		for _, s := range b.factors {
			var one []score
			for _, x := range results {
				if x.method.name != m.name || x.factor != s {
					continue
				}
				if x.err != nil && first == nil {
					first = x.err
				}
				one = append(one, x.score)
			}
			r.factors = append(r.factors, mean(one))
			all = append(all, one...)
		}
		if first != nil {
			failed = append(failed, fmt.Sprintf("%s (%v)", m.name, first))
			continue
		}
		r.all = mean(all)
		rows = append(rows, r)
	}
	slices.SortStableFunc(rows, func(a, b row) int {
		switch {
		case a.all.psnr > b.all.psnr:
			return -1
		case a.all.psnr < b.all.psnr:
			return 1
		}
		return 0
	})
	return rows, failed
}

// summary compares sizewright's rows with the best of the others, and their overshoot with
// Lanczos'.
func summary(w io.Writer, rows []row) {
	const lanczos = "ImageMagick Lanczos"
	best := slices.IndexFunc(rows, func(r row) bool { return !r.method.ours })
	plain := slices.IndexFunc(rows, func(r row) bool { return r.method.name == lanczos })
	fmt.Fprintln(w)
	if best >= 0 {
		p := rows[best].all
		fmt.Fprintf(w, "- Best of the others: %s, PSNR %.3f dB, SSIM %.4f, overshoot %.4f %%, 99.9th %.2f %%.\n",
			rows[best].method.name, p.psnr, p.ssim, p.over, p.over999)
	}
	for _, r := range rows {
		if !r.method.ours {
			continue
		}
		var parts []string
		if best >= 0 {
			p := rows[best].all
			parts = append(parts, fmt.Sprintf("to that PSNR %+.3f dB, RGB PSNR %+.3f dB, SSIM %+.4f", r.all.psnr-p.psnr, r.all.rgb-p.rgb, r.all.ssim-p.ssim))
		}
		if plain >= 0 {
			p := rows[plain].all
			parts = append(parts, fmt.Sprintf("beside %s overshoot %.4f to %.4f %%, 99.9th %.2f to %.2f %%", lanczos, r.all.over, p.over, r.all.over999, p.over999))
		}
		if len(parts) > 0 {
			fmt.Fprintf(w, "- %s: %s.\n", r.method.name, strings.Join(parts, "; "))
		}
	}
}

func names(pictures []picture) string {
	var all []string
	for _, p := range pictures {
		all = append(all, p.name)
	}
	return strings.Join(all, ", ")
}
