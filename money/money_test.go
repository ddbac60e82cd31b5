package money

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bojanz/currency"
	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestOutsideMinorUnits(t *testing.T) {
	seen := []outside.Known{outside.Seen}
	for id, codes := range map[string]map[string]int{
		"planning M1": {"EUR": 2, "USD": 2, "GBP": 2, "CHF": 2, "SEK": 2, "CZK": 2, "PLN": 2, "HUF": 2, "AUD": 2, "CAD": 2, "NZD": 2},
		"planning M2": {"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0},
		"planning M3": {"BHD": 3, "KWD": 3, "TND": 3, "CLF": 4},
	} {
		for code, want := range codes {
			if !KnownCurrency(code) {
				t.Errorf("%s is no currency", code)
			}
			outside.Check{ID: id, Name: "decimals of " + code, Unit: "1", Got: float64(Digits(code)), Want: float64(want), Source: "ISO 4217", Known: seen}.Run(t)
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text, code string
		want       int64
	}{{"189.50", "EUR", 18950}, {"189.5", "EUR", 18950}, {"95", "EUR", 9500}, {"3000", "JPY", 3000}, {"1.234", "KWD", 1234}, {"-5.00", "USD", -500}, {"1,234.50", "EUR", 123450}, {"1.234,50", "EUR", 123450}, {"389,00", "EUR", 38900}, {"€ 5", "EUR", 500}, {"5 EUR", "EUR", 500}, {"5\u00a0€", "EUR", 500},
		{"$389", "USD", 38900}, {"US$ 389.00", "USD", 38900}, {"US$389", "USD", 38900}, {"USD 389.5", "USD", 38950}, {"$389", "CAD", 38900}, {"£1,250.00", "GBP", 125000}, {"389.-", "EUR", 38900}, {"1,250,000", "JPY", 1250000},
		{"-$5", "USD", -500}, {"92233720368547758.07", "EUR", math.MaxInt64}} {
		got, err := Parse(c.text, c.code)
		if err != nil || got.Minor != c.want {
			t.Errorf("%s %s is %d (%v), want %d", c.text, c.code, got.Minor, err, c.want)
		}
	}
	for _, text := range []string{"", ".", "1.", ".5", "1.005", "1,250", "$ 5", "£5", "US$5", "5 USD", "1e3", "0x10", "--5", "€", "€€5", "5 € EUR", "1,2,3", "92233720368547758.08", "99999999999999999999"} {
		if got, err := Parse(text, "EUR"); err == nil {
			t.Errorf("%q is %d", text, got.Minor)
		}
	}
	for text, want := range map[string]string{"1,250": "two ways: 1250 or 1.250", "US$5": "is in USD, and the sheet is in EUR", "$5": "is in dollars or the like"} {
		if _, err := Parse(text, "EUR"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
	for text, want := range map[string]bool{"price on request": true, "P.O.A.": true, "189": false, "": false} {
		if OnRequest(text) != want {
			t.Errorf("%q", text)
		}
	}
	if _, err := Parse("3000.5", "JPY"); err == nil {
		t.Error("half a yen is money")
	}
}

func TestForPeople(t *testing.T) {
	for want, a := range map[string]Amount{"€1,234.50": {123450, "EUR"}, "£0.05": {5, "GBP"}, "JP¥3,000": {3000, "JPY"}, "-€1.00": {-100, "EUR"}} {
		if got := a.String(); got != want {
			t.Errorf("%+v shows as %q, want %q", a, got, want)
		}
	}
	if got := (Amount{123450, "EUR"}).Decimal(); got != "1234.50" {
		t.Errorf("in the sheet %q", got)
	}
}

// The table of currencies is that of CLDR, and amounts are written as CLDR's British English has them.
func TestCurrenciesAreThoseOfCLDR(t *testing.T) {
	codes := currency.GetCurrencyCodes()
	if n := len(strings.Fields(hundredths + " " + wholes + " " + thousandths + " " + tenThousandths)); n != len(codes) {
		t.Errorf("%d currencies in the table, %d in use", n, len(codes))
	}
	british := currency.NewFormatter(currency.NewLocale("en-GB"))
	for _, code := range codes {
		digits, ok := currency.GetDigits(code)
		if !KnownCurrency(code) || !ok || Digits(code) != int(digits) {
			t.Errorf("%s: known is %t, %d decimals, want %d", code, KnownCurrency(code), Digits(code), digits)
		}
		for _, minor := range []int64{0, 5, -12, 100, -12345, 999999, 123456789, math.MaxInt64, math.MinInt64} {
			want, err := currency.NewAmountFromInt64(minor, code)
			if err != nil {
				t.Fatal(err)
			}
			if got := (Amount{minor, code}); got.Decimal() != want.Number() || got.String() != british.Format(want) {
				t.Errorf("%+v is %s and shows as %q, want %s and %q", got, got.Decimal(), got, want.Number(), british.Format(want))
			}
		}
	}
	for _, code := range []string{"", "E", "EU", "eur", "XAU", "XXX", "EURO", "D A", " EU", "R G", "AED AFN"} {
		if KnownCurrency(code) {
			t.Errorf("%q is a currency", code)
		}
	}
	if got := (Amount{5, "XXX"}); got.String() != "5 (minor units of XXX)" || got.Decimal() != "5" {
		t.Errorf("of no currency: %q, %q", got, got.Decimal())
	}
}

func TestSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		minors := rapid.SliceOfN(rapid.Int64Range(-1e12, 1e12), 0, 20).Draw(t, "amounts")
		var amounts []Amount
		want := int64(0)
		for _, m := range minors {
			amounts, want = append(amounts, Amount{m, "EUR"}), want+m
		}
		got, err := Sum("EUR", amounts...)
		if err != nil || got.Minor != want {
			t.Fatalf("%d, want %d (%v)", got.Minor, want, err)
		}
	})
	if _, err := Sum("EUR", Amount{math.MaxInt64, "EUR"}, Amount{1, "EUR"}); !errors.Is(err, ErrOverflow) {
		t.Errorf("too much money: %v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("euros and dollars are added")
		}
	}()
	_, _ = Sum("EUR", Amount{1, "USD"})
}

func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code := rapid.SampledFrom([]string{"EUR", "JPY", "KWD"}).Draw(t, "code")
		minor := rapid.Int64Range(0, math.MaxInt64/10).Draw(t, "minor")
		text := fmt.Sprint(minor)
		if d := Digits(code); d > 0 {
			text = fmt.Sprintf("%d.%0*d", minor/int64(math.Pow10(d)), d, minor%int64(math.Pow10(d)))
		}
		if got, err := Parse(text, code); err != nil || got.Minor != minor {
			t.Fatalf("%s %s is %d (%v)", text, code, got.Minor, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"$389", "US$ 389.00", "1,250", "1.250,00", "389.-", "5 €", "USD 5", "189.50", "-1", "1.2.3", "", "٣", "1e5", "00000000000000000000000001"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, code := range []string{"EUR", "JPY", "KWD"} {
			a, err := Parse(text, code)
			if err != nil {
				continue
			}
			if back, err := Parse(a.Decimal(), code); err != nil || back != a {
				t.Fatalf("%q is %+v, and comes back as %+v (%v)", text, a, back, err)
			}
		}
	})
}
