package track

import (
	"math"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/quantity"
	"shakedown/vehicle/brake"
)

// Loads are what a race at the pace of a lap asks of tank and brakes.
type Loads struct {
	Race      float64 // [s] of the sheet's race; 0 when it does not say
	Laps      float64 // [-] of it
	Fuel      float64 // [l] for a lap
	RaceFuel  float64 // [l] for the race; 0 without one
	Tank      float64 // [l]
	Front     float64 // [kJ] that the front brake takes in a lap
	Rear      float64 // [kJ] that the rear brake does
	Engine    float64 // [kJ] that the engine does, its throttle shut
	Disc      *DiscHeat
	DiscWhy   string   // the front disc's temperature cannot be said
	DiscWants []string // inputs that it wants
	FrontDrum bool
	RearDrum  bool
	Pace      float64 // [s] of the lap
}

// DiscHeat is how hot the front disc gets when every lap is ridden like this one.
type DiscHeat struct {
	Air     float64 // [C]
	Mean    float64 // [C] over the last lap of the race, by time
	Hottest float64 // [C] warm through, in that lap
	Face    float64 // [C] of its faces, at the most
	Fluid   string  // "" when the sheet does not say
	Dry     float64 // [C] at which it boils at the least, new
	Wet     float64 // [C] with water in it
	Reaches float64 // [C] of the fluid at the calliper; rough
	Least   float64 // [C] of its range
	Most    float64 // [C]
}

// Of fuel and heat, what no sheet gives. A race of no length is taken to be settleRace long for the brakes.
const (
	fuelShare  = 0.25   // [-] half-width of the fuel: full throttle or brakes, one line; by judgement
	heatShare  = 0.40   // [-] half-width of what the disc warms by: air about the wheel, pads, dirt; by judgement
	reaches    = 0.25   // [-] of the disc's rise that the fluid shares, and
	reachHalf  = 0.15   // [-] its half-width: pad and piston lie between; by judgement
	settleRace = 1200.0 // [s]
	castIron   = 7200.0 // [kg/m3] and
	conducts   = 50.0   // [W/(m K)] of it; from memory
)

// loadsOf follows a lap with fuel and heat. Full throttle burns what the curve says; between it and none the fuel goes
// with the work that the gases do, friction's included, down to idling where the engine holds the machine back. Source:
// Willans' line, Heywood, Internal Combustion Engine Fundamentals, ch. 13.
func loadsOf(in *ranges.Inputs, c *torque.Curve, l *lap.Lap) *Loads {
	speed := make([]float64, len(l.Took)) // [m/s] mean of each step: force x speed x time is the work done in it
	for i := range speed {
		speed[i] = (l.Speed[i] + l.Speed[i+1]) / 2
	}
	out := &Loads{Race: orZero(in, "class_rules.race_time"), Pace: l.Time, FrontDrum: in.Has("brakes.front.kind") && in.Text("brakes.front.kind") == "drum", RearDrum: in.Has("brakes.rear.kind") && in.Text("brakes.rear.kind") == "drum", Tank: 1000 * orZero(in, "tank.capacity")}
	if g, err := gearbox(in); err == nil {
		swept, _ := torque.SweptVolume(in)
		strokes := 2.0
		if torque.IsTwoStroke(in) {
			strokes = 1
		}
		burn := 0.0 // [g]
		for i, dt := range l.Took {
			omega := speed[i] * g.Primary * g.Final / g.Radius
			if gear := l.Gear[i]; gear > 0 {
				omega *= g.Gears[gear-1]
			}
			power := (l.Push[i]/g.Efficiency - l.Shut[i]*g.Efficiency) * speed[i] // [W] at the crank
			burn += dt * c.FuelFlow(omega/torque.RPM, power/1000, swept, strokes)
		}
		if density := in.Num("engine.fuel.density"); density > 0 {
			out.Fuel = burn / density
		}
	}
	if out.Race > 0 {
		out.Laps = out.Race / l.Time
		out.RaceFuel = out.Fuel * out.Laps
	}
	front := make([]float64, len(l.Took)) // [W]
	for i, dt := range l.Took {
		front[i] = l.Front[i] * speed[i]
		out.Front += front[i] * dt / 1000
		out.Rear += l.Rear[i] * speed[i] * dt / 1000
	}
	out.Engine = l.Overrun / 1000
	out.Disc, out.DiscWhy, out.DiscWants = discHeat(in, l, front, speed, out.Race)
	return out
}

// orZero is an input that a machine may do without [SI]; 0 when it does.
func orZero(in *ranges.Inputs, path string) float64 {
	if !in.Has(path) {
		if _, ok := in.Build.Values[path]; !ok {
			return 0
		}
	}
	return in.Num(path)
}

// discHeat takes the front disc through a race of such laps, of which each step has a braking power [W] and a speed
// [m/s].
func discHeat(in *ranges.Inputs, l *lap.Lap, power, speed []float64, race float64) (heat *DiscHeat, reason string, wants []string) {
	if in.Has("brakes.front.kind") && in.Text("brakes.front.kind") != "disc" {
		return nil, "the front brake is a drum: drums fade and warm slowly, try it hot, with room", nil
	}
	for _, path := range []string{"brakes.front.kind", "brakes.front.disc_mass", "brakes.front.effective_radius"} {
		if !in.Has(path) {
			wants = append(wants, path)
		}
	}
	if len(wants) > 0 {
		return nil, ranges.Why(wants, nil), wants
	}
	radius, count := in.Num("brakes.front.effective_radius"), math.Max(1, in.Num("brakes.front.count"))
	outside := 1.18 * radius // usual shape of a ring; common practice
	if in.Has("brakes.front.disc_diameter") {
		outside = in.Num("brakes.front.disc_diameter") / 2
	}
	inside := math.Max(0.3*outside, 2*radius-outside)
	r := brake.Rotor{Mass: in.Num("brakes.front.disc_mass"), Capacity: running.SteelHeat, Diameter: 2 * outside, Area: 2 * math.Pi * (outside*outside - inside*inside)}
	air := in.Num("air.temperature")
	each, stop, hardest := make([]float64, len(power)), 0.0, 0.0
	surface := 0.0
	for i := range power {
		each[i] = power[i] / count
		if each[i] <= 0 {
			stop, hardest = 0, 0
			continue
		}
		stop += l.Took[i]
		hardest = math.Max(hardest, each[i])
		surface = math.Max(surface, brake.SurfaceRise(hardest/r.Area, stop, castIron, running.SteelHeat, conducts))
	}
	if race <= 0 {
		race = settleRace
	}
	w := overRace(r, l.Took, each, speed, air, race)
	celsius := quantity.MustUnit("C").FromSI
	d := &DiscHeat{Air: celsius(air), Mean: celsius(w.Mean), Hottest: celsius(w.Hottest), Face: celsius(w.Hottest + surface)}
	warm, rise := celsius(air), w.Mean-air
	d.Reaches = warm + reaches*rise
	half := rise * math.Hypot(reachHalf, reaches*heatShare)
	d.Least, d.Most = math.Max(warm, d.Reaches-half), d.Reaches+half
	if in.Has("brakes.front.fluid") {
		if f := brake.FluidNamed(in.Text("brakes.front.fluid")); f != nil {
			d.Fluid, d.Dry, d.Wet = f.Name, celsius(f.Dry), celsius(f.Wet)
		}
	}
	return d, "", nil
}

// settled is by how much the temperature at the line may still move from one lap to the next when the disc is said to
// have settled [K].
const settled = 0.05

// overRace is how warm a disc is over the last lap of a race [s] of such laps: the lap in which the time runs out is
// ridden to its end. Laps after which the disc has settled are all alike.
func overRace(r brake.Rotor, took, power, speed []float64, air, race float64) brake.Warmth {
	lap := 0.0 // [s]
	for _, dt := range took {
		lap += dt
	}
	w := brake.Warmth{Mean: air, End: air, Hottest: air}
	for done := 0.0; done < race && lap > 0; done += lap {
		before := w.End
		w = r.Over(took, power, speed, air, before)
		if math.Abs(w.End-before) < settled {
			break
		}
	}
	return w
}
