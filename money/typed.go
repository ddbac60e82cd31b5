package money

import (
	"fmt"
	"slices"
	"strings"

	"shakedown/quantity"
)

// signs are what stands beside an amount in catalogues, the longest first, with the currencies that it may mean.
// A sign alone never says which of them: the sheet's currency does.
var signs = []struct {
	sign  string
	codes []string
}{
	{"US$", []string{"USD"}}, {"CA$", []string{"CAD"}}, {"NZ$", []string{"NZD"}}, {"HK$", []string{"HKD"}}, {"MX$", []string{"MXN"}}, {"NT$", []string{"TWD"}},
	{"AU$", []string{"AUD"}}, {"A$", []string{"AUD"}}, {"C$", []string{"CAD"}}, {"R$", []string{"BRL"}}, {"S$", []string{"SGD"}},
	{"$", []string{"USD", "AUD", "CAD", "NZD", "HKD", "MXN", "SGD", "TWD"}},
	{"€", []string{"EUR"}}, {"£", []string{"GBP"}}, {"¥", []string{"JPY", "CNY"}}, {"₩", []string{"KRW"}}, {"₹", []string{"INR"}}, {"₪", []string{"ILS"}},
	{"Fr.", []string{"CHF"}}, {"kr", []string{"SEK", "NOK", "DKK", "ISK"}}, {"zł", []string{"PLN"}}, {"Kč", []string{"CZK"}}, {"Ft", []string{"HUF"}},
}

// OnRequest says that a text stands where a price would and gives none: "price on request".
func OnRequest(text string) bool {
	text = strings.ToLower(strings.Trim(text, " ."))
	return slices.Contains([]string{"on request", "price on request", "price on application", "on application", "poa", "p.o.a", "por", "p.o.r", "call", "call for price", "ask", "ask for price", "tba"}, text)
}

// amountOf takes the sign or code of a currency off a text and writes its number with a point. The error is for a sign
// of another currency, and for a comma that can be read two ways.
func amountOf(text, code string) (string, error) {
	number := strings.TrimSpace(strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(text))
	negative := strings.HasPrefix(number, "-")
	number = strings.TrimSpace(strings.TrimPrefix(number, "-"))
	number, found := cutSign(number)
	switch {
	case len(found) == 0 || slices.Contains(found, code):
	case len(found) == 1:
		return "", fmt.Errorf("%q is in %s, and the sheet is in %s", text, found[0], code)
	default:
		return "", fmt.Errorf("%q is in dollars or the like, and the sheet is in %s", text, code)
	}
	for _, end := range []string{".-", ",-", ".\u2013", ",\u2013", ".--", ",--"} {
		number = strings.TrimSuffix(number, end)
	}
	if strings.Trim(number, "0123456789.,") != "" {
		return "", fmt.Errorf("%q is no amount of money", text)
	}
	plain, doubt, ok := quantity.Digits(number)
	switch {
	case doubt[0] != "":
		return "", fmt.Errorf("%s can be read two ways: %s or %s", text, doubt[1], doubt[0])
	case !ok:
		return "", fmt.Errorf("%q is no amount of money", text)
	case negative:
		plain = "-" + plain
	}
	return plain, nil
}

// cutSign takes off what stands before or behind a number, and gives the currencies that it may mean; none when nothing
// that is known stands there.
func cutSign(number string) (rest string, codes []string) {
	for _, s := range signs {
		if rest, ok := strings.CutPrefix(number, s.sign); ok {
			return strings.TrimSpace(rest), s.codes
		}
		if rest, ok := strings.CutSuffix(number, s.sign); ok {
			return strings.TrimSpace(rest), s.codes
		}
	}
	const letters = 3 // of a code
	if n := len(number); n > letters && KnownCurrency(number[:letters]) {
		return strings.TrimSpace(number[letters:]), []string{number[:letters]}
	} else if n > letters && KnownCurrency(number[n-letters:]) {
		return strings.TrimSpace(number[:n-letters]), []string{number[n-letters:]}
	}
	return number, nil
}
