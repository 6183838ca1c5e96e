package main

import (
	"encoding/csv"
	"os"
	"strconv"
)

// writeCSV writes a line for each method, photograph and factor. A method that made no
// picture has its error instead of figures.
func writeCSV(path string, results []result) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	lines := [][]string{{"method", "photograph", "factor", "psnr_db", "ssim", "overshoot_percent", "overshoot_p999_percent", "rgb_psnr_db", "error"}}
	for _, r := range results {
		line := []string{r.method.name, r.picture, strconv.Itoa(r.factor)}
		for _, v := range r.score.fields() {
			if r.err != nil {
				line = append(line, "")
				continue
			}
			line = append(line, strconv.FormatFloat(*v, 'f', 6, 64))
		}
		note := ""
		if r.err != nil {
			note = r.err.Error()
		}
		lines = append(lines, append(line, note))
	}
	if err := csv.NewWriter(f).WriteAll(lines); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
