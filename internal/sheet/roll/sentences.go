package roll

import (
	"fmt"
	"strconv"
)

// mm writes a length to a tenth, without a trailing zero.
func mm(v float64) string {
	return strconv.FormatFloat(round1(v), 'f', -1, 64) + " mm"
}

func badItem(i Item) string {
	return fmt.Sprintf("%v by %v mm is not a possible size of a print: give both sides in millimetres, above 0 and at most %v.",
		i.WidthMM, i.HeightMM, mm(mostMM))
}

func badRoll(what string) string {
	return fmt.Sprintf("The roll cannot be packed: %s. Correct the roll's measurements.", what)
}

func tooWide(i Item, usable float64) string {
	if i.MayTurn {
		return fmt.Sprintf("Its shorter side is %s and the roll has %s for prints: use a wider roll or print it smaller.",
			mm(min(i.WidthMM, i.HeightMM)), mm(usable))
	}
	return fmt.Sprintf("It is %s wide and the roll has %s for prints: use a wider roll or print it smaller.", mm(i.WidthMM), mm(usable))
}

func notTurned(i Item) string {
	return fmt.Sprintf("It is %s wide and would fit only when turned, which is not allowed: allow turning or use a wider roll.", mm(i.WidthMM))
}

func tooLong(i Item, most float64) string {
	return fmt.Sprintf("At %s by %s it fits the width only lengthwise, and a run has %s for prints: allow longer runs or print it smaller.",
		mm(i.WidthMM), mm(i.HeightMM), mm(most))
}

// Sentence describes the cut for the person at the trimmer.
func (c Cut) Sentence() string {
	edge := "left"
	if c.Direction == Across {
		edge = "leading"
	}
	return fmt.Sprintf("Cut %d: %s the roll, %s from the part's %s edge.", c.Number, c.Direction, mm(c.MeasureMM), edge)
}
