package quantity

import "testing"

func TestDecimalPoint(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"74,5 mm ± 0,1 measured", "74.5 mm ± 0.1 measured"},
		{"0,125 in", "0.125 in"},
		{"-3,25 mm", "-3.25 mm"},
		{"1240 mm", "1240 mm"},
		{"1,2345 kg", "1.2345 kg"},
		{"1,240 mm", ""},
		{"1,240.5 mm", "1240.5 mm"},
		{"1.240,5 mm", "1240.5 mm"},
		{"sand, 2 mm", "sand, 2 mm"},
		{"12 mm ± 1,000 mm", ""},
	} {
		got, err := DecimalPoint(c.text)
		if got != c.want || (err != nil) != (c.want == "") {
			t.Errorf("%q: %q, %v; want %q", c.text, got, err, c.want)
		}
	}
}
