// Package money is sums of money in whole minor units of one ISO 4217 currency.
//
// Text such as "189.50" goes in, an exact sum comes out, and sums go back to people as amounts with the currency's
// sign. It never computes in floating point and knows nothing of parts or plans.
package money

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Amount is a sum of money.
type Amount struct {
	Minor    int64 // whole minor units: cents, pence; whole yen
	Currency string
}

// ErrOverflow says that a sum is beyond what 64 bits hold.
var ErrOverflow = errors.New("the sum is too large to be money")

// KnownCurrency says whether the code is an ISO 4217 currency.
func KnownCurrency(code string) bool {
	_, ok := digitsOf(code)
	return ok
}

// Digits is the number of decimal digits of the currency's minor unit: 2 for EUR, 0 for JPY, 3 for KWD.
func Digits(code string) int {
	digits, _ := digitsOf(code)
	return digits
}

// Parse reads an amount of the currency: digits with at most its own decimals, also as catalogues write them: with its
// sign or code, a decimal comma, marks between thousands. The error says when the sign is of another currency and when
// a comma can be read two ways.
func Parse(text, code string) (Amount, error) {
	digits := Digits(code)
	written, err := amountOf(text, code)
	if err != nil {
		return Amount{}, err
	}
	number, negative := strings.CutPrefix(written, "-")
	whole, decimals, pointed := strings.Cut(number, ".")
	if !plain(whole) || (pointed && !plain(decimals)) {
		return Amount{}, fmt.Errorf("%q is no amount of money", text)
	}
	if len(decimals) > digits {
		return Amount{}, fmt.Errorf("%q has more decimals than %s has (%d)", text, code, digits)
	}
	minor, err := strconv.ParseInt(whole+decimals+strings.Repeat("0", digits-len(decimals)), 10, 64)
	if err != nil {
		return Amount{}, fmt.Errorf("%q: %w", text, ErrOverflow)
	}
	if negative {
		minor = -minor
	}
	return Amount{minor, code}, nil
}

func plain(digits string) bool {
	return digits != "" && strings.Trim(digits, "0123456789") == ""
}

// Add is the sum of two amounts of one currency. Two currencies are a mistake of the program.
func (a Amount) Add(b Amount) (Amount, error) {
	if a.Currency != b.Currency {
		panic("money: adding " + a.Currency + " and " + b.Currency)
	}
	if (b.Minor > 0 && a.Minor > math.MaxInt64-b.Minor) || (b.Minor < 0 && a.Minor < math.MinInt64-b.Minor) {
		return Amount{}, ErrOverflow
	}
	return Amount{a.Minor + b.Minor, a.Currency}, nil
}

// Sum adds amounts of one currency.
func Sum(code string, amounts ...Amount) (Amount, error) {
	total := Amount{Currency: code}
	var err error
	for _, a := range amounts {
		if total, err = total.Add(a); err != nil {
			return Amount{}, err
		}
	}
	return total, nil
}

// String prints the amount for people: "€1,234.50".
func (a Amount) String() string {
	if !KnownCurrency(a.Currency) {
		return fmt.Sprintf("%d (minor units of %s)", a.Minor, a.Currency)
	}
	number, negative := strings.CutPrefix(a.Decimal(), "-")
	whole, decimals, pointed := strings.Cut(number, ".")
	var b strings.Builder
	if negative {
		b.WriteByte('-')
	}
	b.WriteString(sign(a.Currency))
	for i, digit := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(digit)
	}
	if pointed {
		b.WriteString("." + decimals)
	}
	return b.String()
}

// Decimal prints the amount as the sheet writes it: "1234.50".
func (a Amount) Decimal() string {
	digits := Digits(a.Currency)
	number, negative := strings.CutPrefix(strconv.FormatInt(a.Minor, 10), "-")
	if short := digits + 1 - len(number); short > 0 {
		number = strings.Repeat("0", short) + number
	}
	if digits > 0 {
		number = number[:len(number)-digits] + "." + number[len(number)-digits:]
	}
	if negative {
		number = "-" + number
	}
	return number
}
