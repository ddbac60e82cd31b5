package machine_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shakedown/machine"
	"shakedown/quantity"
)

// found is the machine as found of a sheet that gives only these inputs.
func found(t testing.TB, given map[string]string) *machine.Project {
	t.Helper()
	p := &machine.Project{Base: map[string]machine.Value{}}
	for path, text := range given {
		f := machine.FieldAt(path)
		v := machine.Value{Field: f, Text: text}
		if f.Shape == machine.Number {
			q, err := quantity.Parse(text, f.Spec)
			if err != nil {
				t.Fatal(path, err)
			}
			v.Terms = []int{p.AddAtom(machine.Atom{Path: path, Q: q})}
		}
		p.Base[path] = v
	}
	p.FillTypical()
	return p
}

func number(p *machine.Project, path string) float64 { return p.Number(p.Base[path]) }

// ratio is the compression ratio of the machine as found [-], by the definition of it.
func ratio(p *machine.Project) float64 {
	disc := func(d float64) float64 { return math.Pi / 4 * d * d }
	bore := disc(number(p, "engine.bore"))
	swept := bore * number(p, "engine.stroke")
	left := number(p, "engine.chamber.head") + disc(number(p, "engine.chamber.gasket_bore"))*number(p, "engine.chamber.gasket_thickness") + bore*number(p, "engine.chamber.deck") - number(p, "engine.chamber.dome")
	return 1 + swept/left
}

// owners are singles as an owner may begin them: small and large, two valves and four.
func owners() (list []map[string]string) {
	for _, size := range [][2]string{{"52", "49.5"}, {"68", "45"}, {"74", "60"}, {"89", "80"}, {"100", "82"}} {
		for _, valves := range []string{"1", "2"} {
			for _, use := range machine.Tunings {
				list = append(list, map[string]string{"layout": "bike", "engine.bore": size[0] + " mm", "engine.stroke": size[1] + " mm", "engine.head.intake_valve.count": valves, "engine.tuned_for": use})
			}
		}
	}
	return list
}

// Whatever the owner's engine, each value that follows from others is one that such machines have.
func TestRelatedValuesAreUsual(t *testing.T) {
	for _, given := range owners() {
		p := found(t, given)
		for path, v := range p.Base {
			if v.Field.Shape != machine.Number || machine.Follows(path) == nil {
				continue
			}
			if x := p.Number(v); !v.Field.IsUsual("bike", x) {
				t.Errorf("%v: %s is %s, usual is %s", given, path, v.Text, v.Field.Span.UsualInWords("bike"))
			}
		}
	}
}

// The chamber that follows gives the ratio that the data sheet says, and another bore, stroke or ratio another chamber.
func TestClaimedRatioComesOut(t *testing.T) {
	for _, given := range owners() {
		for _, claimed := range []string{"7.5", "9.3", "12"} {
			given["engine.claimed_ratio"] = claimed
			p := found(t, given)
			if got := ratio(p); fmt.Sprintf("%.1f", got) != fmt.Sprintf("%.1f", number(p, "engine.claimed_ratio")) {
				t.Errorf("%v: ratio %.3f", given, got)
			}
		}
	}
}

// An owner's reading stands, and what follows from it goes by it.
func TestWhatIsGivenStands(t *testing.T) {
	p := found(t, map[string]string{"engine.chamber.head": "31 cc", "engine.claimed_ratio": "9", "engine.head.intake_valve.head": "38 mm"})
	if got := number(p, "engine.chamber.head"); math.Abs(got-31e-6) > 1e-12 {
		t.Errorf("chamber %g", got)
	}
	if got := number(p, "engine.head.exhaust_valve.head"); math.Abs(got-0.845*0.038) > 1e-5 {
		t.Errorf("exhaust valve %g", got)
	}
	p = found(t, map[string]string{"engine.cam.intake.opens": "24 deg"})
	if got := number(p, "engine.cam.intake.closes") * 180 / math.Pi; math.Abs(got-58) > 0.1 {
		t.Errorf("intake closes %g deg after an opening of 24 with its centre at 107", got)
	}
	p = found(t, map[string]string{"engine.chamber.head": "31 cc"})
	if _, ok := p.Base["engine.claimed_ratio"]; ok {
		t.Error("a known chamber needs no printed ratio")
	}
}

// Larger engines have larger parts, faster ones wider passages.
func TestRelationsGoOneWay(t *testing.T) {
	grow := []string{"engine.head.intake_valve.head", "engine.head.exhaust_valve.head", "engine.cam.intake.lift", "engine.intake.carburettor.venturi", "engine.intake.port_diameter", "engine.exhaust.port_diameter",
		"engine.exhaust.header[0].bore", "engine.exhaust.silencer.volume", "engine.exhaust.silencer.outlet_bore", "engine.intake.airbox_volume", "engine.intake.filter_area", "engine.piston_mass", "engine.pin_mass", "engine.rod_mass.total", "engine.flywheel_inertia", "engine.chamber.head", "engine.chamber.gasket_bore"}
	for _, use := range machine.Tunings {
		last := map[string]float64{}
		for bore := 46; bore <= 102; bore += 4 {
			p := found(t, map[string]string{"engine.bore": fmt.Sprintf("%d mm", bore), "engine.stroke": fmt.Sprintf("%.1f mm", 0.8*float64(bore)), "engine.tuned_for": use})
			for _, path := range grow {
				if x := number(p, path); x <= last[path] {
					t.Errorf("%s of %s falls from %g to %g at a bore of %d mm", path, use, last[path], x, bore)
				} else {
					last[path] = x
				}
			}
		}
	}
	slow := found(t, map[string]string{"engine.claimed_power_speed": "6500 rpm"})
	fast := found(t, map[string]string{"engine.claimed_power_speed": "8500 rpm"})
	for _, path := range []string{"engine.intake.carburettor.venturi", "engine.exhaust.header[0].bore", "engine.intake.filter_area", "engine.exhaust.silencer.outlet_bore", "engine.redline"} {
		if number(fast, path) <= number(slow, path) {
			t.Errorf("%s does not grow with the speed of the greatest power", path)
		}
	}
	for _, path := range []string{"engine.intake.carburettor.venturi", "engine.exhaust.header[0].bore"} {
		low, high := found(t, map[string]string{"engine.redline": "7000 rpm"}), found(t, map[string]string{"engine.redline": "8050 rpm"})
		if r := number(high, path) / number(low, path); r < 1 || r > math.Pow(1.15, 0.26) {
			t.Errorf("%s grows by %.3f with a redline that is wished 15 %% higher; a quarter of that in the speed is the most", path, r)
		}
	}
}

// Textbook and data sheet values lie within the spread of the relations; none of them was used as torque.
func TestRelationsAgainstPrintedParts(t *testing.T) {
	single := func(bore, stroke, valves, use string, more ...string) map[string]string {
		m := map[string]string{"engine.bore": bore, "engine.stroke": stroke, "engine.head.intake_valve.count": valves, "engine.tuned_for": use}
		for i := 0; i < len(more); i += 2 {
			m[more[i]] = more[i+1]
		}
		return m
	}
	for _, c := range []struct {
		what   string
		given  map[string]string
		path   string
		want   float64 // [SI]
		source string
	}{
		{"hemispherical chamber, inlet 0.48 to 0.50 B", single("86 mm", "80 mm", "1", "trail"), "engine.head.intake_valve.head", 0.49 * 0.086, "Heywood 1988 table 6.1, from memory"},
		{"hemispherical chamber, exhaust 0.41 to 0.43 B", single("86 mm", "80 mm", "1", "trail"), "engine.head.exhaust_valve.head", 0.42 * 0.086, "Heywood 1988 table 6.1, from memory"},
		{"four valves, inlet 0.35 to 0.37 B", single("86 mm", "80 mm", "2", "trail"), "engine.head.intake_valve.head", 0.36 * 0.086, "Heywood 1988 table 6.1, from memory"},
		{"four valves, exhaust 0.28 to 0.32 B", single("86 mm", "80 mm", "2", "trail"), "engine.head.exhaust_valve.head", 0.30 * 0.086, "Heywood 1988 table 6.1, from memory"},
		{"utility four-wheeler of 421 cc, inlet", single("84.5 mm", "75 mm", "1", "utility"), "engine.head.intake_valve.head", 0.040, "maker's service manual of a 421 cc utility quad, valve table"},
		{"utility four-wheeler of 421 cc, exhaust", single("84.5 mm", "75 mm", "1", "utility"), "engine.head.exhaust_valve.head", 0.034, "maker's service manual of a 421 cc utility quad, valve table"},
		{"250 motocross, inlet", single("77 mm", "53.6 mm", "2", "race"), "engine.head.intake_valve.head", 0.031, "maker's service manual of a 249 cc motocross machine of 2004"},
		{"250 motocross, exhaust", single("77 mm", "53.6 mm", "2", "race"), "engine.head.exhaust_valve.head", 0.025, "maker's service manual of a 249 cc motocross machine of 2004"},
		{"640 enduro, intake opens 13 at 1 mm", single("101 mm", "78 mm", "2", "race"), "engine.cam.intake.opens", 13 * math.Pi / 180, "maker's technical data of a 625 cc enduro, 1999"},
		{"640 enduro, intake closes 53 at 1 mm", single("101 mm", "78 mm", "2", "race"), "engine.cam.intake.closes", 53 * math.Pi / 180, "maker's technical data of a 625 cc enduro, 1999"},
		{"640 enduro, exhaust opens 53 at 1 mm", single("101 mm", "78 mm", "2", "race"), "engine.cam.exhaust.opens", 53 * math.Pi / 180, "maker's technical data of a 625 cc enduro, 1999"},
		{"640 enduro, exhaust closes 11 at 1 mm", single("101 mm", "78 mm", "2", "race"), "engine.cam.exhaust.closes", 11 * math.Pi / 180, "maker's technical data of a 625 cc enduro, 1999"},
		{"122 cc trail bike, carburettor of 22 mm", single("56 mm", "49.5 mm", "1", "trail", "engine.claimed_power_speed", "9000 rpm"), "engine.intake.carburettor.venturi", 0.022, "data sheet of a 122 cc trail bike, 1971 to 1975"},
		{"249 cc off-road bike, carburettor of 30 mm", single("73 mm", "59.5 mm", "2", "trail", "engine.claimed_power_speed", "8000 rpm"), "engine.intake.carburettor.venturi", 0.030, "data base page of a 249 cc off-road bike, 1989"},
		{"398 cc off-road bike, carburettor of 36 mm", single("90 mm", "62.6 mm", "2", "trail", "engine.claimed_power_speed", "8500 rpm"), "engine.intake.carburettor.venturi", 0.036, "maker's press data of a 398 cc dual-purpose bike, 2000; the speed from memory"},
	} {
		t.Run(c.what, func(t *testing.T) {
			p := found(t, c.given)
			v := p.Base[c.path]
			got, half := p.Number(v), p.Atoms[v.Terms[0]].Q.Half
			if math.Abs(got-c.want) > half {
				t.Errorf("%s is %.4g ± %.2g, printed %.4g (%s)", c.path, got, half, c.want, c.source)
			}
		})
	}
}

// A sheet that is wrong by a slip of the point still gets typical values that can be computed with.
func TestRelationsOfSlips(t *testing.T) {
	for _, given := range []map[string]string{
		{"engine.bore": "20 mm", "engine.stroke": "150 mm"}, {"engine.bore": "150 mm", "engine.stroke": "20 mm"}, {"engine.claimed_ratio": "25"}, {"engine.claimed_ratio": "3"},
		{"engine.claimed_power_speed": "1000 rpm"}, {"engine.claimed_power_speed": "20000 rpm"}, {"engine.head.intake_valve.count": "5"}, {"engine.redline": "500 rpm"},
	} {
		p := found(t, given)
		for path, v := range p.Base {
			if v.Field.Shape == machine.Number && !v.Field.Allows(p.Number(v)) {
				t.Errorf("%v: %s is %s", given, path, v.Text)
			}
		}
	}
}

// What follows for singles of five sizes, as people would read it.
func TestRelatedEngines(t *testing.T) {
	var b strings.Builder
	paths := []string{"engine.claimed_ratio", "engine.redline"}
	for _, r := range machine.Relations() {
		if !slices.Contains(paths, r.Path) {
			paths = append(paths, r.Path)
		}
	}
	for _, given := range owners() {
		if given["engine.tuned_for"] != "trail" {
			continue
		}
		given["engine.claimed_ratio"] = "9.3"
		p := found(t, given)
		fmt.Fprintf(&b, "%s x %s, %s intake valves, %s, ratio as printed %.2f\n", given["engine.bore"], given["engine.stroke"], given["engine.head.intake_valve.count"], given["engine.tuned_for"], ratio(p))
		for _, path := range paths {
			if v, ok := p.Base[path]; ok {
				fmt.Fprintf(&b, "  %-40s %s\n", path, v.Text)
			}
		}
	}
	golden := filepath.Join("testdata", "related.txt")
	if os.Getenv("SHAKEDOWN_UPDATE") != "" {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("testdata/related.txt is no longer what follows; SHAKEDOWN_UPDATE=1 writes it anew:\n%s", b.String())
	}
}

// What a sheet of bore and stroke costs to fill: it is done twice for each answer.
func BenchmarkFillTypical(b *testing.B) {
	for b.Loop() {
		found(b, map[string]string{"layout": "bike", "engine.bore": "89 mm", "engine.stroke": "80 mm"})
	}
}
