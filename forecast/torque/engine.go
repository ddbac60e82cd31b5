package torque

import (
	"errors"

	"shakedown/engine"
	"shakedown/engine/gas"
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// Sources that figures of other rooms name too.
const (
	DefinitionOnly = "definition"
	Heywood        = "Heywood, Internal Combustion Engine Fundamentals, 1988"
	engineTheory   = "docs/theory/engine.md#"
	gasTheory      = "docs/theory/gas.md#"
)

var engineFigures = []ranges.Definition{
	{ID: "engine.swept_volume", Title: "Swept volume", Unit: "cc", Formula: "pi/4 bore^2 stroke cylinders", Source: DefinitionOnly, Theory: engineTheory + "swept-volume", Model: ranges.Definitional, Compute: SweptVolume},
	{ID: "engine.compression_ratio", Title: "Compression ratio", Unit: "1", Formula: "(swept + chamber) / chamber; chamber = head + gasket disc + deck disc - dome", Source: DefinitionOnly, Theory: engineTheory + "compression-ratio", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return engine.CompressionRatio(sweptOfOne(in), chamber(in))
		}},
	{ID: "engine.trapped_compression_ratio", FourStroke: true, Title: "Compression ratio from intake closing", Unit: "1", Formula: "(swept from intake closing at the checking lift + chamber) / chamber, slider-crank", Source: Heywood + " section 2.2", Theory: engineTheory + "trapped-compression-ratio", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			_, closes := Intake.events(in)
			return engine.TrappedCompressionRatio(in.Num("engine.bore"), crank(in), chamber(in), closes)
		}},
	{ID: "engine.cranking_pressure", FourStroke: true, Title: "Cranking pressure on the gauge, throttle open", Unit: "bar", Formula: "air's pressure x ((density over the air's at the end of compression)^1.25 - 1); gas pushed back through the intake until it shuts, and leaking, taken off step by step", Source: "polytropic compression; " + Heywood + " App. C for valve and leak", Theory: engineTheory + "cranking-pressure", Model: cranking, Compute: crankingPressure},
	{ID: "engine.leak_area", FourStroke: true, Detail: true, Only: ranges.Given("engine.leak_down.lost"), Title: "Area of all that leaks, by the leak-down", Unit: "mm2", Formula: "0.85 x restrictor's area x flow through it / flow through the leak, each as a nozzle", Source: Heywood + " App. C, twice in series", Theory: engineTheory + "leak-down", Model: restrictor,
		Compute: func(in *ranges.Inputs) (float64, error) {
			air, err := Ambient(in)
			if err != nil {
				return 0, err
			}
			return leak(in, air)
		}},
	{ID: "engine.mean_piston_speed", Title: "Mean piston speed at redline", Unit: "m/s", Formula: "2 stroke speed", Source: DefinitionOnly, Theory: engineTheory + "piston-speed", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return engine.MeanPistonSpeed(in.Num("engine.stroke"), in.Num("engine.redline")), nil
		}},
	{ID: "engine.peak_piston_acceleration", Title: "Greatest piston acceleration at redline", Unit: "m/s2", Formula: "r w^2 (1 + r/l)", Source: Heywood + " section 2.2", Theory: engineTheory + "piston-acceleration", Model: ranges.Definitional, Compute: peakAcceleration},
	{ID: "engine.reciprocating_mass", Detail: true, Title: "Reciprocating mass", Unit: "g", Formula: "piston + rings + pin + small-end share of the rod", Source: "two-mass rod, common practice", Theory: engineTheory + "rod-load", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return reciprocatingMass(in), nil }},
	{ID: "engine.rod_inertia_load", Title: "Inertia load on the rod at redline", Unit: "kN", Formula: "reciprocating mass x greatest piston acceleration", Source: Heywood + " section 2.2", Theory: engineTheory + "rod-load", Model: twoMassRod,
		Compute: func(in *ranges.Inputs) (float64, error) {
			acceleration, err := peakAcceleration(in)
			return engine.RodInertiaLoad(reciprocatingMass(in), acceleration), err
		}},
	{ID: "engine.liner_wall", Detail: true, Title: "Liner wall left", Unit: "mm", Formula: "(liner outside diameter - bore) / 2", Source: DefinitionOnly, Theory: engineTheory + "liner-wall", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return engine.LinerWall(in.Num("engine.liner_outer"), in.Num("engine.bore")), nil
		}},
	{ID: "engine.inlet_mach_index", FourStroke: true, Title: "Inlet Mach index at redline", Unit: "1", Formula: "Z = (bore/head)^2 / count x mean piston speed / (C a); C the mean flow coefficient on the head area", Source: "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", Theory: engineTheory + "inlet-mach-index", Model: meanFlow, Compute: inletMachIndex},
	{ID: "engine.carburettor_speed", FourStroke: true, Title: "Mean air speed in the carburettor at redline", Unit: "m/s", Formula: "0.85 swept volume fed x speed/2 / venturi area", Source: "continuity; volumetric efficiency 0.85 assumed", Theory: engineTheory + "gas-speeds", Model: meanGas,
		Compute: func(in *ranges.Inputs) (float64, error) {
			swept, err := SweptVolume(in)
			if err != nil || len(in.Missing) > 0 {
				return 0, err
			}
			return engine.CarburettorSpeed(swept/in.Num("engine.intake.carburettor.count"), in.Num("engine.redline"), in.Num("engine.intake.carburettor.venturi")), nil
		}},
	{ID: "engine.header_speed", FourStroke: true, Title: "Mean gas speed in the head pipe at redline", Unit: "m/s", Formula: "0.85 air, with its fuel, at 1000 K and ambient pressure / bore area", Source: "continuity; volumetric efficiency 0.85 and 1000 K assumed", Theory: engineTheory + "gas-speeds", Model: meanGas,
		Compute: func(in *ranges.Inputs) (float64, error) {
			air, err := Ambient(in)
			if err != nil {
				return 0, err
			}
			density := gas.MoistAirDensity(air.Pressure, air.Temperature, air.Humidity)
			mixed := engine.FuelAirRatio(gas.FuelNamed(in.Text("engine.fuel.name")).StoichiometricAir(), in.Num("engine.fuel.lambda"))
			return engine.HeaderSpeed(sweptOfOne(in), in.Num("engine.redline"), density, air.Pressure, mixed, in.Num("engine.exhaust.header[0].bore")), nil
		}},
	{ID: "engine.carburettor_root", FourStroke: true, Detail: true, Title: "Root of a carburettor's litres x speed, at redline", Unit: "mm", Formula: "root of (displacement fed in litres x rpm), in millimetres", Source: "as the trade sizes carburettors", Theory: engineTheory + "gas-speeds", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return carburettorRoot(in, in.Num("engine.redline")) }},
	{ID: "engine.deck_from_parts", Only: ranges.Given("engine.compression_height"), Detail: true, Title: "Deck from cylinder, rod and piston", Unit: "mm", Formula: "cylinder height - (stroke/2 + rod + compression height)", Source: DefinitionOnly, Theory: engineTheory + "compression-ratio", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return engine.DeckFrom(in.Num("engine.cylinder_height"), crank(in), in.Num("engine.compression_height")), nil
		}},
	{ID: "engine.filter_speed", FourStroke: true, Only: ranges.Given("engine.intake.filter_area"), Detail: true, Title: "Mean air speed through the filter at redline", Unit: "m/s", Formula: "0.85 swept volume x speed/2 / filter area", Source: "continuity; volumetric efficiency 0.85 assumed", Theory: engineTheory + "gas-speeds", Model: meanGas,
		Compute: func(in *ranges.Inputs) (float64, error) {
			swept, err := SweptVolume(in)
			return engine.FilterSpeed(swept, in.Num("engine.redline"), in.Num("engine.intake.filter_area")), err
		}},
	{ID: "engine.jet_for_air", Only: ranges.Given("engine.intake.carburettor.jetted_density"), Detail: true, Title: "Main jet for this air", Unit: "1", Formula: "jet x (density/density it was found right in)^(1/4)", Source: "orifice law; " + Heywood + " section 7.3", Theory: engineTheory + "jet", Model: ranges.MovesReference,
		Compute: func(in *ranges.Inputs) (float64, error) {
			air, err := Ambient(in)
			return engine.JetForDensity(in.Num("engine.intake.carburettor.main_jet"), in.Num("engine.intake.carburettor.jetted_density"), gas.MoistAirDensity(air.Pressure, air.Temperature, air.Humidity)), err
		}},
	{ID: "engine.air_density", Title: "Density of the air", Unit: "kg/m3", Formula: "CIPM-2007 for moist air", Source: "Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149; ISO 2533:1975 for the pressure at altitude", Theory: gasTheory + "moist-air", Model: ranges.MovesReference,
		Compute: func(in *ranges.Inputs) (float64, error) {
			air, err := Ambient(in)
			return gas.MoistAirDensity(air.Pressure, air.Temperature, air.Humidity), err
		}},
	{ID: "engine.power_correction", Title: "Power correction to standard air", Unit: "1", Formula: "1.18 (990/dry hPa) ((t + 273)/298)^0.5 - 0.18", Source: "SAE J1349", Theory: gasTheory + "power-correction", Model: ranges.MovesReference,
		Compute: func(in *ranges.Inputs) (float64, error) {
			air, err := Ambient(in)
			return gas.CorrectionJ1349(gas.DryPressure(air.Pressure, air.Temperature, air.Humidity), air.Temperature), err
		}},
}

// sweptOfOne is the swept volume of one cylinder.
func sweptOfOne(in *ranges.Inputs) float64 {
	return engine.SweptVolume(in.Num("engine.bore"), in.Num("engine.stroke"), 1)
}

// SweptVolume is the displacement of all cylinders [m3].
func SweptVolume(in *ranges.Inputs) (float64, error) {
	return engine.SweptVolume(in.Num("engine.bore"), in.Num("engine.stroke"), in.Count("engine.cylinders")), nil
}

func chamber(in *ranges.Inputs) float64 {
	return engine.Chamber{
		Head: in.Num("engine.chamber.head"), GasketBore: in.Num("engine.chamber.gasket_bore"),
		GasketThickness: in.Num("engine.chamber.gasket_thickness"), Deck: in.Num("engine.chamber.deck"), Dome: in.Num("engine.chamber.dome"),
	}.Volume(in.Num("engine.bore"))
}

func crank(in *ranges.Inputs) engine.Crank {
	return engine.Crank{Stroke: in.Num("engine.stroke"), Rod: in.Num("engine.rod_length")}
}

func peakAcceleration(in *ranges.Inputs) (float64, error) {
	c := crank(in)
	return c.PeakAcceleration(in.Num("engine.redline")), c.Validate()
}

func reciprocatingMass(in *ranges.Inputs) float64 {
	return in.Num("engine.piston_mass") + in.Num("engine.ring_mass") + in.Num("engine.pin_mass") +
		in.Num("engine.rod_mass.total")*in.Num("engine.rod_mass.small_end_share")
}

func inletMachIndex(in *ranges.Inputs) (float64, error) {
	l, open, err := Intake.Lobe(in)
	if err != nil {
		return 0, err
	}
	coefficient, err := Intake.meanCoefficient(in, l, open)
	if err != nil {
		return 0, err
	}
	speed := engine.MeanPistonSpeed(in.Num("engine.stroke"), in.Num("engine.redline"))
	return engine.InletMachIndex(in.Num("engine.bore"), in.Num("engine.head.intake_valve.head"), in.Count("engine.head.intake_valve.count"), speed, coefficient, gas.SpeedOfSound(in.Num("air.temperature")))
}

// leak is the effective area of what leaks from a cylinder [m2]: that of a leak-down where one was read, which holds
// all of it; gaps and clearances explain it and are not added. Otherwise the usual gaps of the rings.
func leak(in *ranges.Inputs, air State) (float64, error) {
	if !in.Has("engine.leak_down.lost") {
		return engine.RingLeak(in.Num("engine.bore")), nil
	}
	return engine.LeakDown{Lost: in.Num("engine.leak_down.lost"), Supply: in.Num("engine.leak_down.supply"), Restrictor: in.Num("engine.leak_down.restrictor"), Outside: air.Pressure}.Area()
}

func crankingPressure(in *ranges.Inputs) (float64, error) {
	air, err := Ambient(in)
	if err != nil {
		return 0, err
	}
	c := engine.Cranking{
		Bore: in.Num("engine.bore"), Crank: crank(in), Clearance: chamber(in) + in.Num("engine.cranking.hose_volume"), Port: in.Num("engine.intake.port_diameter"),
		Air: engine.Air{Pressure: air.Pressure, Temperature: air.Temperature}, Speed: in.Num("engine.cranking.speed"),
	}
	var errs [2]error
	c.Intake, errs[0] = Intake.valves(in)
	c.Leak, errs[1] = leak(in, air)
	if err := errors.Join(errs[:]...); err != nil || len(in.Missing) > 0 {
		return 0, err
	}
	return c.Pressure()
}

// State is the air the engine breathes.
type State struct {
	Pressure, Temperature, Humidity float64 // [Pa] [K] [-]
}

// Ambient is the air at the sheet's air: a station pressure replaces the altitude.
func Ambient(in *ranges.Inputs) (State, error) {
	s := State{Temperature: in.Num("air.temperature"), Humidity: in.Num("air.humidity")}
	if in.Has("air.pressure") {
		s.Pressure = in.Num("air.pressure")
		return s, nil
	}
	_, pressure, err := gas.StandardAtmosphere(in.Num("air.altitude"))
	s.Pressure = pressure
	return s, err
}

// IsTwoStroke says that the engine is one, noted as an input.
func IsTwoStroke(in *ranges.Inputs) bool { return in.Text("engine.cycle") == machine.TwoStroke }

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	meanFlow   = ranges.ModelError{Share: 0.05, Private: 0.02, Note: "steady-flow coefficients used for unsteady flow"}
	meanGas    = ranges.ModelError{Share: 0.20, Private: 0.03, Note: "volumetric efficiency 0.85 and exhaust at 1000 K are assumed"}
	cranking   = ranges.ModelError{Share: engine.CrankingDoubt, Private: 0.02, Note: "heat to the walls by one exponent, 1.25; a decompressor is not counted"}
	restrictor = ranges.ModelError{Share: 0.12, Private: 0.01, Note: "discharge coefficient of the tester's restrictor"}
	twoMassRod = ranges.ModelError{Share: 0.02, Private: 0.005, Note: "the rod is replaced by two masses"}
)
