package check

import (
	"slices"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast"
)

// What does not hold for a two-stroke is not computed for it and not judged, and that is said in one line. What does
// hold is as before. The machine is the example with its cycle changed; by hand, its clutch torque from 10 bar over two
// turns would be 10e5 x 285.15e-6/(4 pi) x 3.26 = 73.98 Nm, half of what such a pressure gives in each turn: the rule
// would let a clutch pass that slips.
func TestTwoStroke(t *testing.T) {
	four, two := on(t, "overdone"), on(t, "overdone", "cycle: four-stroke", "cycle: two-stroke")
	for id := range four.c.Figures {
		_, has := two.c.Figures[id]
		if has == forecast.FourStrokeOnly(id) {
			t.Errorf("%s: a two-stroke has it: %v", id, has)
		}
		if has && two.c.Figures[id].Value != four.c.Figures[id].Value {
			t.Errorf("%s: %g of a two-stroke, %g of a four-stroke", id, two.c.Figures[id].Value, four.c.Figures[id].Value)
		}
	}
	for _, id := range []string{
		"engine.trapped_compression_ratio", "engine.inlet_mach_index", "engine.carburettor_speed", "engine.header_speed", "engine.piston_to_valve.intake", "engine.piston_to_valve_mistimed.exhaust",
		"engine.valve_float.intake", "engine.nose_stress.exhaust", "engine.coil_bind_left.intake", "engine.retainer_left.exhaust", "driveline.clutch_torque",
	} {
		if _, has := four.c.Figures[id]; !has || !forecast.FourStrokeOnly(id) {
			t.Errorf("%s is to be left out of a two-stroke", id)
		}
	}
	for _, id := range []string{"engine.swept_volume", "engine.compression_ratio", "engine.mean_piston_speed", "engine.rod_inertia_load", "driveline.speed.1", "driveline.clutch_capacity", "chassis.tip_lateral", "brakes.front.lever_force", "suspension.front.rider_sag", "axle.yield_load"} {
		if _, has := two.c.Figures[id]; !has {
			t.Errorf("%s holds for a two-stroke and is not there", id)
		}
	}
	var said []figure.Finding
	found := Run(two.c)
	for _, f := range found {
		if slices.Contains([]string{"inlet-choke", "piston-to-valve", "coil-bind", "retainer", "compression-fuel", "valve-float", "spring-follower", "clutch", "header-fit", "carburettor-size", "outlet-size", "filter-size", "heat"}, f.Rule) {
			t.Errorf("%s speaks to a two-stroke: %s", f.Rule, f.Text)
		}
		if strings.Contains(f.Text, "two-stroke") {
			said = append(said, f)
		}
	}
	if len(said) != 1 || said[0].Rule != "two-stroke" || said[0].Severity != figure.NotComputed {
		t.Errorf("it is said %d times: %+v", len(said), said)
	}
	if !slices.ContainsFunc(found, func(f figure.Finding) bool { return f.Rule == "wheel-pattern" && f.Severity == figure.Conflict }) {
		t.Error("the conflict of its wheels is no longer told")
	}
	if slices.ContainsFunc(Run(four.c), func(f figure.Finding) bool { return f.Rule == "two-stroke" }) {
		t.Error("a four-stroke is told of two-strokes")
	}
}

// A four-stroke against a two-stroke: where the figure does not hold for the baseline there is no change. More
// displacement loads the gearbox of a two-stroke too.
func TestTwoStrokeAsTheBaseline(t *testing.T) {
	b := on(t, "full", "cycle: four-stroke", "cycle: two-stroke", "sets: {engine.bore: 75.5 mm", "sets: {engine.cycle: four-stroke, engine.bore: 75.5 mm")
	for _, id := range []string{"engine.carburettor_speed", "driveline.clutch_torque", "engine.valve_float.intake"} {
		if f := b.c.Figures[id]; f.State != figure.Ready || f.Change != nil {
			t.Errorf("%s changes by %+v against a two-stroke's", id, f.Change)
		}
	}
	if f := b.c.Figures["engine.swept_volume"]; f.Change == nil || f.Change.Value <= 0 {
		t.Error("the displacement's change is gone")
	}
	loaded := on(t, "full", "cycle: four-stroke", "cycle: two-stroke", "sets: {engine.bore: 75.5 mm", "sets: {engine.bore: 80 mm")
	for _, f := range Run(loaded.c) {
		if f.Rule == "gearbox-load" { // by hand: (80/74)^2 - 1 = 16.9 %
			if !strings.Contains(f.Text, "17 % more torque") {
				t.Error(f.Text)
			}
			return
		}
	}
	t.Error("17 % more displacement does not load the gearbox of a two-stroke")
}
