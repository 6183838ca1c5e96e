package config

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"
)

// didYouMean asks whether a wrong text was meant to be one of the values, given
// as TOML writes them, or has one of them in it: "Relative colorimetric" is
// taken for "relative", and "16" for 16. It returns "" when it has no idea.
func didYouMean(value any, written []string) string {
	text, ok := value.(string)
	if !ok || len(text) > 60 {
		return ""
	}
	text = strings.ToLower(text)
	byWord := map[string]string{}
	var words []string
	for _, w := range written {
		if word := strings.Trim(w, `"`); word != "" {
			byWord[word] = w
			words = append(words, word)
		}
	}
	for _, part := range append([]string{text}, strings.FieldsFunc(text, isSign)...) {
		if word := nearest(part, words); word != "" {
			return "did you mean " + byWord[word] + "?"
		}
	}
	return ""
}

func isSign(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// nearest returns the word that a misspelt one was meant to be, "" if none is
// within two slips of the finger and half of the word right. Of two as near it
// takes the one with the same first letter, which people seldom miss.
func nearest(misspelt string, words []string) string {
	best, bestCost := "", math.MaxInt
	for _, word := range words {
		n := slips(misspelt, word)
		if n > 2 || n > len(misspelt)/2 {
			continue
		}
		cost := 2 * n
		if misspelt[0] != word[0] {
			cost++
		}
		if cost < bestCost {
			best, bestCost = word, cost
		}
	}
	return best
}

// closest returns the n words that are most like one that no slip of the finger
// explains: those that share parts between dashes, underscores and spaces first, then
// those with the fewest slips for their length.
func closest(unlike string, words []string, n int) []string {
	split := func(s string) []string { return strings.FieldsFunc(s, isSign) }
	score := func(word string) float64 {
		shared := 0
		for _, part := range split(unlike) {
			if slices.Contains(split(word), part) {
				shared++
			}
		}
		return float64(slips(unlike, word))/float64(max(len(unlike), len(word), 1)) - float64(shared)
	}
	list := slices.Clone(words)
	slices.SortStableFunc(list, func(a, b string) int { return cmp.Compare(score(a), score(b)) })
	return list[:min(n, len(list))]
}

// fewWords is how many are listed whole.
const fewWords = 6

// someOf lists words to choose from: all of a few, else the closest.
func someOf(unlike string, words []string) string {
	if len(words) > fewWords {
		words = closest(unlike, words, 3)
	}
	return strings.Join(words, ", ")
}

// slips counts the letters to insert, remove, replace or swap with a neighbour
// to make b of a: the optimal string alignment distance of Damerau and
// Levenshtein, over bytes.
func slips(a, b string) int {
	const far = 100
	if len(a)-len(b) > far || len(b)-len(a) > far {
		return far
	}
	var before []int // the row before the last
	last := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			replaced := last[j-1]
			if a[i-1] != b[j-1] {
				replaced++
			}
			row[j] = min(last[j]+1, row[j-1]+1, replaced)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
