package forecast

import "testing"

// What a two-stroke is without: all that reckons with valves and a cam, or with one charge in two turns of the crank.
func TestFourStrokeOnly(t *testing.T) {
	for id, want := range map[string]bool{
		"engine.trapped_compression_ratio": true, "engine.inlet_mach_index": true, "engine.carburettor_speed": true, "engine.header_speed": true, "engine.filter_speed": true,
		"engine.piston_to_valve.intake": true, "engine.piston_to_valve_mistimed.exhaust": true, "engine.valve_to_valve": true, "engine.valve_float.intake": true,
		"engine.nose_stress.intake": true, "engine.nose_stress_slow.exhaust": true, "engine.lobe_turns.intake": true, "engine.coil_bind_left.exhaust": true,
		"engine.retainer_left.intake": true, "driveline.clutch_torque": true,
		"engine.compression_ratio": false, "engine.mean_piston_speed": false, "driveline.clutch_capacity": false, "engine.jet_for_air": false,
	} {
		if !IsFigure(id) {
			t.Errorf("no figure %s", id)
		}
		if got := FourStrokeOnly(id); got != want {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}
