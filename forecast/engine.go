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
	{id: "engine.swept_volume", title: "Swept volume", unit: "cc", formula: "pi/4 bore^2 stroke cylinders", source: definitionOnly, theory: engineTheory + "swept-volume", model: definitional, compute: sweptVolume},
	{id: "engine.compression_ratio", title: "Compression ratio", unit: "1", formula: "(swept + chamber) / chamber; chamber = head + gasket disc + deck disc - dome", source: definitionOnly, theory: engineTheory + "compression-ratio", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return engine.CompressionRatio(sweptOfOne(in), chamber(in))
		}},
	{id: "engine.trapped_compression_ratio", fourStroke: true, title: "Compression ratio from intake closing", unit: "1", formula: "(swept from intake closing at the checking lift + chamber) / chamber, slider-crank", source: heywood + " section 2.2", theory: engineTheory + "trapped-compression-ratio", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return engine.TrappedCompressionRatio(in.num("engine.bore"), crank(in), chamber(in), in.num("engine.cam.intake.closes"))
		}},
	{id: "engine.mean_piston_speed", title: "Mean piston speed at redline", unit: "m/s", formula: "2 stroke speed", source: definitionOnly, theory: engineTheory + "piston-speed", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return engine.MeanPistonSpeed(in.num("engine.stroke"), in.num("engine.redline")), nil
		}},
	{id: "engine.peak_piston_acceleration", title: "Greatest piston acceleration at redline", unit: "m/s2", formula: "r w^2 (1 + r/l)", source: heywood + " section 2.2", theory: engineTheory + "piston-acceleration", model: definitional, compute: peakAcceleration},
	{id: "engine.reciprocating_mass", detail: true, title: "Reciprocating mass", unit: "g", formula: "piston + rings + pin + small-end share of the rod", source: "two-mass rod, common practice", theory: engineTheory + "rod-load", model: definitional,
		compute: func(in *inputs) (float64, error) { return reciprocatingMass(in), nil }},
	{id: "engine.rod_inertia_load", title: "Inertia load on the rod at redline", unit: "kN", formula: "reciprocating mass x greatest piston acceleration", source: heywood + " section 2.2", theory: engineTheory + "rod-load", model: twoMassRod,
		compute: func(in *inputs) (float64, error) {
			acceleration, err := peakAcceleration(in)
			return engine.RodInertiaLoad(reciprocatingMass(in), acceleration), err
		}},
	{id: "engine.liner_wall", detail: true, title: "Liner wall left", unit: "mm", formula: "(liner outside diameter - bore) / 2", source: definitionOnly, theory: engineTheory + "liner-wall", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return engine.LinerWall(in.num("engine.liner_outer"), in.num("engine.bore")), nil
		}},
	{id: "engine.inlet_mach_index", fourStroke: true, title: "Inlet Mach index at redline", unit: "1", formula: "Z = (bore/head)^2 / count x mean piston speed / (C a); C the mean flow coefficient on the head area", source: "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", theory: engineTheory + "inlet-mach-index", model: meanFlow, compute: inletMachIndex},
	{id: "engine.carburettor_speed", fourStroke: true, title: "Mean air speed in the carburettor at redline", unit: "m/s", formula: "0.85 swept volume fed x speed/2 / venturi area", source: "continuity; volumetric efficiency 0.85 assumed", theory: engineTheory + "gas-speeds", model: meanGas,
		compute: func(in *inputs) (float64, error) {
			swept, err := sweptVolume(in)
			if err != nil || len(in.missing) > 0 {
				return 0, err
			}
			return engine.CarburettorSpeed(swept/in.num("engine.intake.carburettor.count"), in.num("engine.redline"), in.num("engine.intake.carburettor.venturi")), nil
		}},
	{id: "engine.header_speed", fourStroke: true, title: "Mean gas speed in the head pipe at redline", unit: "m/s", formula: "0.85 air, with its fuel, at 1000 K and ambient pressure / bore area", source: "continuity; volumetric efficiency 0.85 and 1000 K assumed", theory: engineTheory + "gas-speeds", model: meanGas,
		compute: func(in *inputs) (float64, error) {
			air, err := ambient(in)
			if err != nil {
				return 0, err
			}
			density := gas.MoistAirDensity(air.pressure, air.temperature, air.humidity)
			return engine.HeaderSpeed(sweptOfOne(in), in.num("engine.redline"), density, air.pressure, engine.FuelAirRatio(in.num("engine.fuel.lambda")), in.num("engine.exhaust.header[0].bore")), nil
		}},
	{id: "engine.deck_from_parts", only: given("engine.compression_height"), detail: true, title: "Deck from cylinder, rod and piston", unit: "mm", formula: "cylinder height - (stroke/2 + rod + compression height)", source: definitionOnly, theory: engineTheory + "compression-ratio", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return engine.DeckFrom(in.num("engine.cylinder_height"), crank(in), in.num("engine.compression_height")), nil
		}},
	{id: "engine.filter_speed", fourStroke: true, only: given("engine.intake.filter_area"), detail: true, title: "Mean air speed through the filter at redline", unit: "m/s", formula: "0.85 swept volume x speed/2 / filter area", source: "continuity; volumetric efficiency 0.85 assumed", theory: engineTheory + "gas-speeds", model: meanGas,
		compute: func(in *inputs) (float64, error) {
			swept, err := sweptVolume(in)
			return engine.FilterSpeed(swept, in.num("engine.redline"), in.num("engine.intake.filter_area")), err
		}},
	{id: "engine.jet_for_air", only: given("engine.intake.carburettor.jetted_density"), detail: true, title: "Main jet for this air", unit: "1", formula: "jet x (density/density it was found right in)^(1/4)", source: "orifice law; " + heywood + " section 7.3", theory: engineTheory + "jet", model: movesReference,
		compute: func(in *inputs) (float64, error) {
			air, err := ambient(in)
			return engine.JetForDensity(in.num("engine.intake.carburettor.main_jet"), in.num("engine.intake.carburettor.jetted_density"), gas.MoistAirDensity(air.pressure, air.temperature, air.humidity)), err
		}},
	{id: "engine.air_density", title: "Density of the air", unit: "kg/m3", formula: "CIPM-2007 for moist air", source: "Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149; ISO 2533:1975 for the pressure at altitude", theory: gasTheory + "moist-air", model: movesReference,
		compute: func(in *inputs) (float64, error) {
			air, err := ambient(in)
			return gas.MoistAirDensity(air.pressure, air.temperature, air.humidity), err
		}},
	{id: "engine.power_correction", title: "Power correction to standard air", unit: "1", formula: "1.18 (990/dry hPa) ((t + 273)/298)^0.5 - 0.18", source: "SAE J1349", theory: gasTheory + "power-correction", model: movesReference,
		compute: func(in *inputs) (float64, error) {
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
