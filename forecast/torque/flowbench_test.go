package torque

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/sheet"
)

// Readings of a flow bench give the coefficients they were made from.
func TestFlowBenchReadings(t *testing.T) {
	build := func(flow string) *machine.Build {
		text := "sheet: 1\nmachine:\n  layout: three-wheeler\n  engine: {bore: 74 mm, head: {intake_valve: {count: 2, head: 28 mm}, flow: {intake: [" + flow + "]}}}\nair: {temperature: 20 C, humidity: 0, pressure: 101325 Pa}\nbuilds: {a: []}\n"
		s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
		if err != nil {
			t.Fatal(err)
		}
		return s.Project.Bare()
	}
	cfm := func(cd, lift float64) string { // at 10 inches of water, two valves, density of dry air at 20 C
		speed := math.Sqrt(2 * 10 * 249.08891 / 1.2041)
		return fmt.Sprintf("{lift: %.3f mm, cfm: %.6f, inches_water: 10}", lift*1e3, 2*cd*math.Pi*0.028*lift*speed/math.Pow(0.3048, 3)*60)
	}
	in := func(b *machine.Build) *ranges.Inputs { return &ranges.Inputs{Build: b} }
	a, b := build("{lift: 2 mm, cd: 0.6}, {lift: 8 mm, cd: 0.4}"), build(cfm(0.6, 0.002)+", "+cfm(0.4, 0.008))
	za, erra := inletMachIndex(in(a))
	zb, errb := inletMachIndex(in(b))
	if erra != nil || errb != nil || math.Abs(za-zb) > 5e-4*za { // the density here has four digits
		t.Errorf("%g %v and %g %v", za, erra, zb, errb)
	}
	if _, err := inletMachIndex(in(build("{lift: 2 mm, cfm: 400, inches_water: 1}"))); err == nil || !strings.Contains(err.Error(), "gives a coefficient of") {
		t.Errorf("an impossible reading: %v", err)
	}
}
