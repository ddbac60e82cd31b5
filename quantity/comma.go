package quantity

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

var commaNumber = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\d[\d.]*,[\d.,]*\d`) })

// DecimalPoint writes the numbers of a quantity with a point: "74,5 mm ± 0,1" becomes "74.5 mm ± 0.1". The error is
// for a comma that could as well stand between thousands, as in "1,240 mm". What is no number is left as it stands.
func DecimalPoint(text string) (string, error) {
	var err error
	text = commaNumber().ReplaceAllStringFunc(text, func(number string) string {
		plain, doubt, ok := Digits(number)
		switch {
		case doubt[0] != "" && err == nil:
			err = fmt.Errorf("%s can be read two ways; write %s, or %s", number, doubt[1], doubt[0])
		case ok && strings.Contains(number, ","):
			return plain
		}
		return number
	})
	if err != nil {
		return "", err
	}
	return text, nil
}
