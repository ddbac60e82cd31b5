package quantity

import (
	"fmt"
	"regexp"
	"sync"
)

var (
	commaNumber = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(\d+),(\d+)`) })
	thousands   = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\b[1-9]\d{0,2},\d{3}\b`) })
)

// DecimalPoint writes the decimal commas of a quantity as points: "74,5 mm ± 0,1" becomes "74.5 mm ± 0.1". The error is
// for a comma that could as well stand between thousands, as in "1,240 mm".
func DecimalPoint(text string) (string, error) {
	if doubtful := thousands().FindString(text); doubtful != "" {
		return "", fmt.Errorf("%s can be read two ways; write %s, or %s", doubtful, commaNumber().ReplaceAllString(doubtful, "$1$2"), commaNumber().ReplaceAllString(doubtful, "$1.$2"))
	}
	return commaNumber().ReplaceAllString(text, "$1.$2"), nil
}
