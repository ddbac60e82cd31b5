package torque

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/machine"
)

// publishedEngine is a production single as its data sheet describes it, and nothing else of it.
type publishedEngine struct {
	name             string
	says             string  // what of the engine stands in the sheet
	power, atPower   float64 // [kW] [rpm] greatest, as published
	torque, atTorque float64 // [Nm] [rpm]
	blind            bool    // opened once, when nothing was moved any more
	where            string  // standard and place as far as said; what is doubtful of it
	source           string
}

const (
	air, liquid = "cooling: air, ", "cooling: liquid, "
	four        = "head: {intake_valve: {count: 2}}"
	twoCams     = "head: {valve_drive: two cams and buckets, intake_valve: {count: 2}}"
	pushrods    = "head: {valve_drive: pushrod}"
)

// publishedEngines were chosen by name and kind before any was computed: utility, trail and race engines, two
// valves and four, 49 to 576 cc. Those that are not blind were looked at while the constants stood already.
var publishedEngines = []publishedEngine{
	{"Honda Super Cub 50, 1990s, utility", "bore: 39.0 mm ± 0 mm, stroke: 41.4 mm ± 0 mm, claimed_ratio: 10.0, tuned_for: utility, " + air, 3.31, 7000, 5.10, 4500, false, "Japan, JIS; 13 bar of mean pressure is more than any such engine makes", "table of the maker's data, heliumu.com"},
	{"Honda CT110, 1981, utility", "bore: 52.0 mm ± 0 mm, stroke: 49.5 mm ± 0 mm, claimed_ratio: 8.5, tuned_for: utility, " + air, 5.59, 7500, 8.34, 6000, true, "Japan, JIS of that time", "ja.wikipedia.org by the maker's release; stroke from memory"},
	{"Honda GX200, 2004, stationary", "bore: 68 mm ± 0 mm, stroke: 54 mm ± 0 mm, claimed_ratio: 8.5, tuned_for: utility, fan: yes, " + pushrods + ", " + air, 4.1, 3600, 12.4, 2500, false, "net; 3600 is the governor's speed", "copy of the maker's table, autospruce.com"},
	{"Hero XPulse 200, 2019, trail", "bore: 66.5 mm ± 0 mm, stroke: 57.5 mm ± 0 mm, claimed_ratio: 10.0, tuned_for: trail, " + air, 13.4, 8000, 17.1, 6500, true, "India", "evoindia.com; bore and stroke from memory"},
	{"Honda CRF250R, 2010, motocross", "bore: 76.8 mm ± 0 mm, stroke: 53.8 mm ± 0 mm, claimed_ratio: 13.2, tuned_for: race, intake: {carburettor: {venturi: 50 mm}}, " + four + ", " + liquid, 32.4, 11000, 29.3, 8000, false, "maker's press data, crank", "nextmoto.it, motoonline.com.au"},
	{"Honda NSF250R, 2012, circuit", "bore: 78.0 mm ± 0 mm, stroke: 52.2 mm ± 0 mm, claimed_ratio: 12.7, tuned_for: race, " + twoCams + ", " + liquid, 35.5, 13000, 28, 10500, true, "maker, crank; ratio from memory", "auto.ndtv.com, fasterandfaster.net; bore and stroke from memory"},
	{"Yamaha WR250R, 2007, trail", "bore: 77.0 mm ± 0 mm, stroke: 53.6 mm ± 0 mm, claimed_ratio: 11.8, tuned_for: trail, " + twoCams + ", " + liquid, 23, 10000, 24, 8000, false, "Japan, JIS; ratio from memory", "the maker's release, yuznetwork.com"},
	{"Honda GX390 K1, 1990s, stationary", "bore: 88.0 mm ± 0 mm, stroke: 64.0 mm ± 0 mm, claimed_ratio: 8.0, tuned_for: utility, fan: yes, " + pushrods + ", " + air, 9.7, 3600, 27, 2500, true, "gross, SAE J1995: 4 to 12 % above net; 3600 is the governor's speed", "engine-specs.net"},
	{"Suzuki DR-Z4S, 2025, trail", "bore: 90.0 mm ± 0 mm, stroke: 62.6 mm ± 0 mm, claimed_ratio: 11.1, tuned_for: trail, " + twoCams + ", " + liquid, 27.9, 8000, 37, 6500, false, "EU type approval, with catalyst; ratio from memory", "acidmoto.ch, response.jp"},
	{"Royal Enfield Himalayan 411, 2016, trail", "bore: 78 mm ± 0 mm, stroke: 86 mm ± 0 mm, claimed_ratio: 9.5, tuned_for: trail, " + air, 18.3, 6500, 32, 4250, true, "India; torque flat from 4000 to 4500; ratio from memory", "bikewale.com, rideexpeditions.com"},
	{"Honda CRF450R, 2009, motocross", "bore: 96.0 mm ± 0 mm, stroke: 62.1 mm ± 0 mm, claimed_ratio: 12.0, tuned_for: race, intake: {carburettor: {venturi: 50 mm}}, " + four + ", " + liquid, 41.5, 8500, 50.3, 7000, false, "maker's press data, crank; ratio from memory", "nextmoto.it, motorcyclistonline.com"},
	{"BMW G 450 X, 2008, enduro, open", "bore: 98.0 mm ± 0 mm, stroke: 59.6 mm ± 0 mm, claimed_ratio: 12.0, tuned_for: race, " + twoCams + ", " + liquid, 38, 9000, 44, 7800, true, "maker, crank; ratio from memory", "en.wikipedia.org, mcnews.com.au; bore and stroke from memory"},
	{"Yamaha XT500, 1976, trail", "bore: 87 mm ± 0 mm, stroke: 84 mm ± 0 mm, claimed_ratio: 9.0, tuned_for: trail, " + air, 24.3, 6600, 39.2, 5500, false, "in the way of DIN", "xt500.org by German repair data"},
	{"Husqvarna TE 610 E, 2000, trail", "bore: 98.0 mm ± 0 mm, stroke: 76.4 mm ± 0 mm, claimed_ratio: 11.0, tuned_for: trail, intake: {carburettor: {venturi: 41 mm}}, " + four + ", " + liquid, 38.3, 7000, 52, 6800, true, "not said; the page contradicts itself", "motorcyclespecs.co.za"},
}

// sheet is the machine as an owner begins it: the data sheet's lines, the rest follows. The air is that of standards.
func (e *publishedEngine) sheet() string {
	return fmt.Sprintf("sheet: 1\ncurrency: EUR\nair: {temperature: 25 C ± 0 C, humidity: 30 %% ± 0 %%, pressure: 1000 hPa ± 0 hPa}\n"+
		"machine:\n  layout: bike\n  engine: {claimed_power_speed: %.0f rpm, %s}\n%s", e.atPower, strings.TrimSuffix(e.says, ", "), byhand.NoParts)
}

// level is what the model says of a published engine at the published speeds, and whether its own peak is known.
type level struct {
	torque, halfTorque float64 // [Nm] 95 %
	power, halfPower   float64 // [kW]
	peak               float64 // [rpm] of the greatest power; 0 where the sweep ends before it
}

func (e *publishedEngine) level(ctx context.Context, t testing.TB, spread bool) (l level) {
	b := byhand.Build(t, e.sheet(), "as-found")
	c, err := ComputeCurve(ctx, b, nil)
	if err != nil {
		t.Fatalf("%s: %v", e.name, err)
	}
	watts := e.atPower * RPM / 1000
	l.torque, l.power = c.TorqueAt(e.atTorque), c.TorqueAt(e.atPower)*watts
	if c.Power.End == Inside {
		l.peak = c.Power.Speed
	}
	if spread {
		s, err := ComputeSpread(ctx, b, nil)
		if err != nil {
			t.Fatalf("%s: %v", e.name, err)
		}
		l.halfTorque, l.halfPower = s.Half(e.atTorque), s.Half(e.atPower)*watts
	}
	return l
}

// off is by how much a value is off a published one, in percent.
func off(got, want float64) string {
	return strings.Replace(fmt.Sprintf("%+.0f", 100*(got/want-1)), "-", "−", 1)
}

// row is a line of the table in docs/theory/level.md.
func (e *publishedEngine) row(l level) string {
	mark := func(got, half, want float64) string {
		word := "hit"
		switch near, inside := math.Abs(got/want-1) <= 0.10, math.Abs(got-want) <= half; {
		case near && !inside:
			word = "near, outside the range"
		case !near && inside:
			word = "off, inside the range"
		case !near:
			word = "missed"
		}
		return fmt.Sprintf("%.1f ± %.1f (%s %%), %s", got, half, off(got, want), word)
	}
	peak := "beyond the sweep"
	if l.peak > 0 {
		peak = fmt.Sprintf("%.0f (%s %%)", l.peak, off(l.peak, e.atPower))
	}
	opened := "work"
	if e.blind {
		opened = "blind"
	}
	return fmt.Sprintf("| %s | %s | %.1f at %.0f | %s | %.1f at %.0f | %s | %s | %s | %s |", e.name, opened, e.torque, e.atTorque, mark(l.torque, l.halfTorque, e.torque), e.power, e.atPower, mark(l.power, l.halfPower, e.power), peak, e.where, e.source)
}

const levelPage = "../../docs/theory/level.md"

// Heavy: the whole table of docs/theory/level.md is what the model says; its ranges too with all that the heavy tests
// have. It judges nothing: hits and misses stand there.
func TestHeavyLevelOfPublishedEngines(t *testing.T) {
	heavy, update := os.Getenv("SHAKEDOWN_HEAVY"), os.Getenv("SHAKEDOWN_UPDATE") != ""
	if heavy == "" {
		t.Skip("heavy: make test-heavy")
	}
	page, err := os.ReadFile(levelPage)
	if err != nil {
		t.Fatal(err)
	}
	if heavy != "all" && !update {
		for i := range publishedEngines {
			publishedEngines[i].onPage(t, string(page))
		}
		return
	}
	rows := make([]string, len(publishedEngines))
	for i := range publishedEngines {
		rows[i] = publishedEngines[i].row(publishedEngines[i].level(t.Context(), t, true))
	}
	if update {
		before, rest, ok := strings.Cut(string(page), "|---|---|---|---|---|---|---|---|---|\n")
		_, after, ok2 := strings.Cut(rest, "\n\n")
		if !ok || !ok2 {
			t.Fatal("the page has no table")
		}
		page = []byte(before + "|---|---|---|---|---|---|---|---|---|\n" + strings.Join(rows, "\n") + "\n\n" + after)
		if err := os.WriteFile(levelPage, page, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, row := range rows {
		if !strings.Contains(string(page), row) {
			t.Errorf("the page does not have: %s", row)
		}
	}
}

// onPage sees that the page has what the model says of the engine, the range left out.
func (e *publishedEngine) onPage(t *testing.T, page string) {
	t.Helper()
	l := e.level(t.Context(), t, false)
	for line := range strings.Lines(page) {
		if strings.HasPrefix(line, "| "+e.name+" |") {
			for _, want := range []string{fmt.Sprintf("| %.1f ± ", l.torque), fmt.Sprintf("| %.1f ± ", l.power)} {
				if !strings.Contains(line, want) {
					t.Errorf("%s: the page has no %q; SHAKEDOWN_HEAVY=1 SHAKEDOWN_UPDATE=1 go test -run HeavyLevel writes it anew", e.name, want)
				}
			}
			return
		}
	}
	t.Errorf("%s is not on the page", e.name)
}

// One engine of each half without its range: the table is not an old model's.
func TestLevelPageIsOfThisModel(t *testing.T) {
	page, err := os.ReadFile(levelPage)
	if err != nil {
		t.Fatal(err)
	}
	for i := range publishedEngines {
		if e := &publishedEngines[i]; strings.HasPrefix(e.name, "Yamaha XT500") || strings.HasPrefix(e.name, "Hero XPulse") {
			e.onPage(t, string(page))
		}
	}
}

// ownersEngine is a sheet that gives bore, stroke and printed ratio, and another engine input.
func ownersEngine(t testing.TB, more string) *machine.Build {
	return byhand.Build(t, "sheet: 1\ncurrency: EUR\nmachine:\n  layout: bike\n  engine: {bore: 74 mm measured, stroke: 60 mm measured, claimed_ratio: 9.3, "+more+"}\n"+byhand.NoParts, "as-found")
}

// A redline that its owner wishes for does not carry the peak of the power with it: 15 % more of it moves the peak by
// less than half of that.
func TestThePeakIsNoShareOfTheRedline(t *testing.T) {
	var peaks []float64
	for _, redline := range []string{"8500 rpm", "9775 rpm"} {
		c, err := ComputeCurve(t.Context(), ownersEngine(t, "redline: "+redline), nil)
		if err != nil {
			t.Fatal(err)
		}
		if c.Power.End != Inside {
			t.Fatalf("redline %s: the sweep ends before the peak", redline)
		}
		peaks = append(peaks, c.Power.Speed)
	}
	if r := peaks[1] / peaks[0]; r < 0.97 || r > 1.075 {
		t.Errorf("the peak of the power goes from %.0f to %.0f rpm with a redline that is 15 %% higher", peaks[0], peaks[1])
	}
}

// The compression ratio of a machine that is known by bore, stroke and printed ratio is that ratio, and its range is
// what a maker says of it and not the sum of what chamber, gasket, deck and dome may each be.
func TestPrintedRatioCarriesItsRange(t *testing.T) {
	e := ranges.NewEvaluator(ownersEngine(t, "tuned_for: trail"), nil)
	for _, d := range Figures {
		if d.ID != "engine.compression_ratio" {
			continue
		}
		f := e.Figure(d)
		if math.Abs(f.Value-9.3) > 0.02 || f.Half() < 0.4 || f.Half() > 0.6 {
			t.Errorf("the ratio is %.3f, from %.2f to %.2f; 9.3 is printed, and a maker says ± 0.5", f.Value, f.Low, f.High)
		}
	}
}

// Heavy: whatever such an engine really has inside the spreads of its typical values, its torque lies in the range that
// the curve shows, nineteen times of twenty. The truths are drawn; what the model takes from the literature is as it
// is, so that more than 95 % are inside.
func TestHeavyRangeHoldsTheTruth(t *testing.T) {
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("heavy: make test-heavy")
	}
	b := ownersEngine(t, "claimed_power_speed: 7500 rpm")
	c, err := ComputeCurve(t.Context(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := ComputeSpread(t.Context(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	draw := rand.New(rand.NewPCG(17, 4))
	truths := 20
	if os.Getenv("SHAKEDOWN_HEAVY") == "all" {
		truths = 200
	}
	speeds := []float64{3000, 4500, 6000, 7500}
	inside := 0
	for range truths {
		in := &ranges.Inputs{Build: b, Delta: make([]float64, len(b.Project.Atoms))}
		for i := range b.Project.Atoms {
			in.Delta[i] = draw.NormFloat64() * b.Project.Atoms[i].Q.Half / ranges.Coverage
		}
		spec, err := breathing(in)
		if err != nil {
			t.Fatal(err)
		}
		at := make([]float64, len(speeds))
		for i, v := range speeds {
			at[i] = v * RPM
		}
		points, failed, err := engine.Curve(t.Context(), spec, at, nil)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range points {
			if failed[i] == nil && math.Abs(p.Torque-c.TorqueAt(speeds[i])) <= s.Half(speeds[i]) {
				inside++
			}
		}
	}
	if share := float64(inside) / float64(truths*len(speeds)); share < 0.93 {
		t.Errorf("%.0f %% of %d torques lie in the range; 95 %% are said to", 100*share, truths*len(speeds))
	} else {
		t.Logf("%.1f %% of %d torques lie in the range", 100*share, truths*len(speeds))
	}
}

// Friction that was read stands in the curve, and leaves half of the doubt.
func TestFrictionThatWasRead(t *testing.T) {
	curve := func(more string) *Curve {
		c, err := ComputeCurve(t.Context(), ownersEngine(t, "claimed_power_speed: 7500 rpm"+more), nil)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	usual, read := curve(""), curve(", friction_factor: 1.2 ± 0.05 measured")
	for i, p := range usual.Points {
		if r := read.Points[i].Friction / p.Friction; math.Abs(r-1.2) > 0.01 {
			t.Errorf("%.0f rpm: friction is %.3f times the usual one, 1.2 was read", p.Speed, r)
		}
	}
	if usual.Torque.Value <= read.Torque.Value {
		t.Error("more friction costs no torque")
	}
}
