package workshop

import (
	"fmt"
	"strings"

	"github.com/aymanbagabas/go-udiff"

	"shakedown/quantity"
)

// Difference is how two texts differ, line by line.
type Difference struct {
	Lines        []DifferenceLine
	Added, Taken int
}

// DifferenceLine is one line of a difference.
type DifferenceLine struct {
	Sign   string // "+", "−", "" for a line both have, "…" between hunks
	Before int    // number in the older text; 0 when it is not there
	After  int    // number in the newer text; 0 when it is not there
	Text   string
}

// aroundChange is how many lines both have are shown about a change.
const aroundChange = 2

// Compared is how a text differs from the one before it.
func Compared(before, after []byte) Difference {
	var c Difference
	diff, err := udiff.ToUnifiedDiff("", "", string(before), udiff.Lines(string(before), string(after)), aroundChange)
	if err != nil {
		return c // edits that were just made apply
	}
	for i, hunk := range diff.Hunks {
		if i > 0 {
			c.Lines = append(c.Lines, DifferenceLine{Sign: "…"})
		}
		from, to := hunk.FromLine, hunk.ToLine
		for _, line := range hunk.Lines {
			l := DifferenceLine{Text: strings.TrimRight(line.Content, "\r\n")}
			if line.Kind != udiff.Insert {
				l.Before = from
				from++
			}
			if line.Kind != udiff.Delete {
				l.After = to
				to++
			}
			switch line.Kind {
			case udiff.Insert:
				l.Sign = "+"
				c.Added++
			case udiff.Delete:
				l.Sign = "−"
				c.Taken++
			}
			c.Lines = append(c.Lines, l)
		}
	}
	return c
}

// Words says how much a difference is.
func (c Difference) Words() string {
	switch {
	case c.Added == 0 && c.Taken == 0:
		return "nothing changed"
	case c.Taken == 0:
		return fmt.Sprintf("%d %s added", c.Added, quantity.Plural(c.Added, "line", "lines"))
	case c.Added == 0:
		return fmt.Sprintf("%d %s taken out", c.Taken, quantity.Plural(c.Taken, "line", "lines"))
	}
	n := max(c.Added, c.Taken)
	return fmt.Sprintf("%d %s changed", n, quantity.Plural(n, "line", "lines"))
}
