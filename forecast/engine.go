package forecast

import (
	"shakedown/engine"
	"shakedown/engine/gas"
)

const (
	definitionOnly = "definition"
	heywood        = "Heywood, Internal Combustion Engine Fundamentals, 1988"
	engineTheory   = "docs/theory/engine.md#"
	gasTheory      = "docs/theory/gas.md#"
)

var engineFigures = []definition{
	{"engine.swept_volume", "Swept volume", "cc", "pi/4 bore^2 stroke cylinders", definitionOnly, engineTheory + "swept-volume", definitional, sweptVolume},
	{"engine.compression_ratio", "Compression ratio", "1", "(swept + chamber) / chamber; chamber = head + gasket disc + deck disc - dome", definitionOnly, engineTheory + "compression-ratio", definitional,
		func(in *inputs) (float64, error) {
			return engine.CompressionRatio(sweptOfOne(in), chamber(in))
		}},
	{"engine.trapped_compression_ratio", "Compression ratio from intake closing", "1", "(swept from intake closing at the checking lift + chamber) / chamber, slider-crank", heywood + " section 2.2", engineTheory + "trapped-compression-ratio", definitional,
		func(in *inputs) (float64, error) {
			return engine.TrappedCompressionRatio(in.num("engine.bore"), crank(in), chamber(in), in.num("engine.cam.intake.closes"))
		}},
	{"engine.mean_piston_speed", "Mean piston speed at redline", "m/s", "2 stroke speed", definitionOnly, engineTheory + "piston-speed", definitional,
		func(in *inputs) (float64, error) {
			return engine.MeanPistonSpeed(in.num("engine.stroke"), in.num("engine.redline")), nil
		}},
	{"engine.peak_piston_acceleration", "Greatest piston acceleration at redline", "m/s2", "r w^2 (1 + r/l)", heywood + " section 2.2", engineTheory + "piston-acceleration", definitional, peakAcceleration},
	{"engine.reciprocating_mass", "Reciprocating mass", "g", "piston + rings + pin + small-end share of the rod", "two-mass rod, common practice", engineTheory + "rod-load", definitional,
		func(in *inputs) (float64, error) { return reciprocatingMass(in), nil }},
	{"engine.rod_inertia_load", "Inertia load on the rod at redline", "kN", "reciprocating mass x greatest piston acceleration", heywood + " section 2.2", engineTheory + "rod-load", twoMassRod,
		func(in *inputs) (float64, error) {
			acceleration, err := peakAcceleration(in)
			return engine.RodInertiaLoad(reciprocatingMass(in), acceleration), err
		}},
	{"engine.liner_wall", "Liner wall left", "mm", "(liner outside diameter - bore) / 2", definitionOnly, engineTheory + "liner-wall", definitional,
		func(in *inputs) (float64, error) {
			return engine.LinerWall(in.num("engine.liner_outer"), in.num("engine.bore")), nil
		}},
	{"engine.inlet_mach_index", "Inlet Mach index at redline", "1", "Z = (bore/head)^2 / count x mean piston speed / (C a); C the mean flow coefficient on the head area", "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", engineTheory + "inlet-mach-index", meanFlow, inletMachIndex},
	{"engine.carburettor_speed", "Mean air speed in the carburettor at redline", "m/s", "0.85 swept volume fed x speed/2 / venturi area", "continuity; volumetric efficiency 0.85 assumed", engineTheory + "gas-speeds", meanGas,
		func(in *inputs) (float64, error) {
			swept, err := sweptVolume(in)
			if err != nil || len(in.missing) > 0 {
				return 0, err
			}
			return engine.CarburettorSpeed(swept/in.num("engine.intake.carburettor.count"), in.num("engine.redline"), in.num("engine.intake.carburettor.venturi")), nil
		}},
	{"engine.header_speed", "Mean gas speed in the head pipe at redline", "m/s", "0.85 air, with its fuel, at 1000 K and ambient pressure / bore area", "continuity; volumetric efficiency 0.85 and 1000 K assumed", engineTheory + "gas-speeds", meanGas,
		func(in *inputs) (float64, error) {
			air, err := ambient(in)
			if err != nil {
				return 0, err
			}
			density := gas.MoistAirDensity(air.pressure, air.temperature, air.humidity)
			return engine.HeaderSpeed(sweptOfOne(in), in.num("engine.redline"), density, air.pressure, engine.FuelAirRatio(in.num("engine.fuel.lambda")), in.num("engine.exhaust.header[0].bore")), nil
		}},
	{"engine.deck_from_parts", "Deck from cylinder, rod and piston", "mm", "cylinder height - (stroke/2 + rod + compression height)", definitionOnly, engineTheory + "compression-ratio", definitional,
		func(in *inputs) (float64, error) {
			return engine.DeckFrom(in.num("engine.cylinder_height"), crank(in), in.num("engine.compression_height")), nil
		}},
	{"engine.filter_speed", "Mean air speed through the filter at redline", "m/s", "0.85 swept volume x speed/2 / filter area", "continuity; volumetric efficiency 0.85 assumed", engineTheory + "gas-speeds", meanGas,
		func(in *inputs) (float64, error) {
			swept, err := sweptVolume(in)
			return engine.FilterSpeed(swept, in.num("engine.redline"), in.num("engine.intake.filter_area")), err
		}},
	{"engine.jet_for_air", "Main jet for this air", "1", "jet x (density/density it was found right in)^(1/4)", "orifice law; " + heywood + " section 7.3", engineTheory + "jet", movesReference,
		func(in *inputs) (float64, error) {
			air, err := ambient(in)
			return engine.JetForDensity(in.num("engine.intake.carburettor.main_jet"), in.num("engine.intake.carburettor.jetted_density"), gas.MoistAirDensity(air.pressure, air.temperature, air.humidity)), err
		}},
	{"engine.air_density", "Density of the air", "kg/m3", "CIPM-2007 for moist air", "Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149; ISO 2533:1975 for the pressure at altitude", gasTheory + "moist-air", movesReference,
		func(in *inputs) (float64, error) {
			air, err := ambient(in)
			return gas.MoistAirDensity(air.pressure, air.temperature, air.humidity), err
		}},
	{"engine.power_correction", "Power correction to standard air", "1", "1.18 (990/dry hPa) ((t + 273)/298)^0.5 - 0.18", "SAE J1349", gasTheory + "power-correction", movesReference,
		func(in *inputs) (float64, error) {
			air, err := ambient(in)
			return gas.CorrectionJ1349(gas.DryPressure(air.pressure, air.temperature, air.humidity), air.temperature), err
		}},
}

// sweptOfOne is the swept volume of one cylinder.
func sweptOfOne(in *inputs) float64 {
	return engine.SweptVolume(in.num("engine.bore"), in.num("engine.stroke"), 1)
}

func sweptVolume(in *inputs) (float64, error) {
	return engine.SweptVolume(in.num("engine.bore"), in.num("engine.stroke"), in.count("engine.cylinders")), nil
}

func chamber(in *inputs) float64 {
	return engine.Chamber{
		Head: in.num("engine.chamber.head"), GasketBore: in.num("engine.chamber.gasket_bore"),
		GasketThickness: in.num("engine.chamber.gasket_thickness"), Deck: in.num("engine.chamber.deck"), Dome: in.num("engine.chamber.dome"),
	}.Volume(in.num("engine.bore"))
}

func crank(in *inputs) engine.Crank {
	return engine.Crank{Stroke: in.num("engine.stroke"), Rod: in.num("engine.rod_length")}
}

func peakAcceleration(in *inputs) (float64, error) {
	c := crank(in)
	return c.PeakAcceleration(in.num("engine.redline")), c.Validate()
}

func reciprocatingMass(in *inputs) float64 {
	return in.num("engine.piston_mass") + in.num("engine.ring_mass") + in.num("engine.pin_mass") +
		in.num("engine.rod_mass.total")*in.num("engine.rod_mass.small_end_share")
}

func inletMachIndex(in *inputs) (float64, error) {
	l, open, err := intake.lobe(in)
	if err != nil {
		return 0, err
	}
	coefficient, err := intake.meanCoefficient(in, l, open)
	if err != nil {
		return 0, err
	}
	speed := engine.MeanPistonSpeed(in.num("engine.stroke"), in.num("engine.redline"))
	return engine.InletMachIndex(in.num("engine.bore"), in.num("engine.head.intake_valve.head"), in.count("engine.head.intake_valve.count"), speed, coefficient, gas.SpeedOfSound(in.num("air.temperature")))
}

// state is the air the engine breathes.
type state struct {
	pressure, temperature, humidity float64 // [Pa] [K] [-]
}

// ambient is the air at the sheet's air: a station pressure replaces the altitude.
func ambient(in *inputs) (state, error) {
	s := state{temperature: in.num("air.temperature"), humidity: in.num("air.humidity")}
	if in.has("air.pressure") {
		s.pressure = in.num("air.pressure")
		return s, nil
	}
	_, pressure, err := gas.StandardAtmosphere(in.num("air.altitude"))
	s.pressure = pressure
	return s, err
}
