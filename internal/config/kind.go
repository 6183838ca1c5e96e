package config

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"sizewright/internal/plural"
)

// A kind is what a key's value may be: how to say what is wanted, how to take
// it from decoded TOML (false when it is not that), how to write it as TOML,
// and, where there is more to say of a wrong value, what ("" for nothing).
type kind[V any] struct {
	want string
	read func(value any) (V, bool)
	show func(V) string
	hint func(value any) string
}

// hintAt is what there is to say of a wrong value, to go on a sentence.
func (k kind[V]) hintAt(value any) string {
	if k.hint == nil {
		return ""
	}
	if hint := k.hint(value); hint != "" {
		return ": " + hint
	}
	return ""
}

// number is a number from lo to hi; unit follows it in what is wanted.
func number(lo, hi float64, unit string) kind[float64] {
	return kind[float64]{
		want: strings.TrimSpace(fmt.Sprintf("a number from %v to %v %s", lo, hi, unit)),
		read: func(value any) (float64, bool) {
			v, ok := toFloat(value)
			return v, ok && v >= lo && v <= hi // NaN is in no range
		},
		show: showFloat,
	}
}

func showFloat(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// among is one of a few numbers; why goes on after them.
func among(why string, values ...float64) kind[float64] {
	written := make([]string, len(values))
	for i, v := range values {
		written[i] = showFloat(v)
	}
	return kind[float64]{
		want: plural.List(written, "or") + ", " + why,
		read: func(value any) (float64, bool) {
			v, ok := toFloat(value)
			return v, ok && slices.Contains(values, v)
		},
		show: showFloat,
	}
}

// flag is true or false.
func flag() kind[bool] {
	return kind[bool]{
		want: "true or false, without quotes",
		read: func(value any) (v, ok bool) { v, ok = value.(bool); return v, ok },
		show: strconv.FormatBool,
	}
}

// zeroOr widens a kind by 0, which stands for a value worked out elsewhere.
func zeroOr(k kind[float64]) kind[float64] {
	inRange := k.read
	k.want = "0 or " + k.want
	k.read = func(value any) (float64, bool) {
		if v, ok := toFloat(value); ok && v == 0 {
			return 0, true
		}
		return inRange(value)
	}
	return k
}

// toFloat takes a number written with or without a decimal point.
func toFloat(value any) (float64, bool) {
	switch v := value.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, true
	}
	return 0, false
}

// whole is a whole number from lo to hi.
func whole(lo, hi int64) kind[int] { return counted[int](lo, hi, 1, "") }

// counted is a whole number of units from lo to hi; named is what they are.
func counted[V ~int | ~int64](lo, hi, unit int64, named string) kind[V] {
	return kind[V]{
		want: strings.TrimSpace(fmt.Sprintf("a whole number from %d to %d %s", lo, hi, named)),
		read: func(value any) (V, bool) {
			n, ok := value.(int64)
			if !ok || n < lo || n > hi {
				return 0, false
			}
			return V(n * unit), true
		},
		show: func(v V) string { return strconv.FormatInt(int64(v)/unit, 10) },
	}
}

// oneOf is one of a few values, which are compared as they are written.
func oneOf[V ~string | ~int](values ...V) kind[V] {
	written := make([]string, len(values))
	for i, v := range values {
		written[i] = fmt.Sprintf("%#v", v)
	}
	return kind[V]{
		want: plural.List(written, "or"),
		read: func(value any) (v V, ok bool) {
			if i := slices.Index(written, fmt.Sprintf("%#v", value)); i >= 0 {
				return values[i], true
			}
			return v, false
		},
		show: func(v V) string { return fmt.Sprintf("%#v", v) },
		hint: func(value any) string { return didYouMean(value, written) },
	}
}

// span is a length of time from lo to hi, in quotes with its unit.
func span(lo, hi time.Duration) kind[time.Duration] {
	return kind[time.Duration]{
		want: fmt.Sprintf(`a time from %s to %s with its unit, in quotes, such as "90s"`, short(lo), short(hi)),
		read: func(value any) (time.Duration, bool) {
			text, ok := value.(string)
			v, err := time.ParseDuration(strings.TrimSpace(text))
			return v, ok && err == nil && v >= lo && v <= hi
		},
		show: func(v time.Duration) string { return strconv.Quote(short(v)) },
	}
}

// mostDays is a century.
const mostDays = 36500

// ParseDays reads a number of days: 30 days. "" is 0.
func ParseDays(text string) (days int, ok bool) {
	if text = strings.TrimSpace(text); text == "" {
		return 0, true
	}
	number, unit, _ := strings.Cut(text, " ")
	days, err := strconv.Atoi(number)
	return days, err == nil && days >= 1 && days <= mostDays && (unit == "days" || unit == "day")
}

// days is a number of days, 0 for "".
func days() kind[int] {
	return kind[int]{
		want: fmt.Sprintf(`a number of days up to %d, in quotes, such as "30 days"`, mostDays),
		read: func(value any) (int, bool) {
			text, ok := value.(string)
			v, good := ParseDays(text)
			return v, ok && good
		},
		show: func(v int) string {
			if v == 0 {
				return `""`
			}
			return strconv.Quote(plural.Count(v, "day", "days"))
		},
	}
}

// short writes a duration without its zero parts: 1m, not 1m0s.
func short(d time.Duration) string {
	text := d.String()
	if strings.HasSuffix(text, "m0s") {
		text = strings.TrimSuffix(text, "0s")
	}
	if strings.HasSuffix(text, "h0m") {
		text = strings.TrimSuffix(text, "0m")
	}
	return text
}

// found says what a value is that is not what was wanted.
func found(value any) string {
	switch v := value.(type) {
	case string:
		return "the text " + clipped(v)
	case int64, float64, bool:
		return fmt.Sprint(v)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or a time"
}

// clipped quotes a text for an error, cut when it is long.
func clipped(text string) string {
	const enough = 60
	if runes := []rune(text); len(runes) > enough {
		text = string(runes[:enough]) + "…"
	}
	return strconv.Quote(text)
}

// anyNumber is a number; what it may be is judged with others.
func anyNumber() kind[float64] {
	k := number(-math.MaxFloat64, math.MaxFloat64, "")
	k.want = "a number"
	return k
}

// textLine is text of one line, of so many characters at most.
func textLine(most int) kind[string] {
	return kind[string]{
		want: fmt.Sprintf("text in quotes, one line of up to %d characters", most),
		read: func(value any) (string, bool) {
			v, ok := value.(string)
			control := strings.ContainsFunc(v, unicode.IsControl)
			return v, ok && !control && utf8.RuneCountInString(v) <= most
		},
		show: strconv.Quote,
	}
}

// addresses are those of a NATS server, with commas between.
func addresses() kind[string] {
	k := textLine(1024)
	k.want = `an address such as "nats://host:4222" or "tls://host:4222", or several with commas between`
	line := k.read
	k.read = func(value any) (string, bool) {
		v, ok := line(value)
		for _, a := range strings.Split(v, ",") {
			u, err := url.Parse(strings.TrimSpace(a))
			ok = ok && (v == "" || err == nil && (u.Scheme == "nats" || u.Scheme == "tls") && u.Hostname() != "")
		}
		return v, ok
	}
	return k
}

// nameList is one name or a list of names, kept as one text.
func nameList(separator string) kind[string] {
	return kind[string]{
		want: `a name in quotes, or several as ["one", "other"]`,
		read: func(value any) (string, bool) {
			list, isList := value.([]any)
			if !isList {
				list = []any{value}
			}
			var names []string
			for _, v := range list {
				name, ok := v.(string)
				if !ok || name == "" || strings.ContainsFunc(name, unicode.IsControl) {
					return "", false
				}
				names = append(names, name)
			}
			return strings.Join(names, separator), true
		},
		show: func(v string) string {
			names := strings.FieldsFunc(v, func(r rune) bool { return string(r) == separator })
			for i, name := range names {
				names[i] = strconv.Quote(name)
			}
			return "[" + strings.Join(names, ", ") + "]"
		},
	}
}
