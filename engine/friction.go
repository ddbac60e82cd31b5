package engine

import "math"

// Friction is the friction mean effective pressure [Pa] of an engine by what rubs.
type Friction struct {
	Bearings float64 // [Pa] crank, big end and seals
	Pistons  float64 // [Pa] skirts and the tension of the rings
	GasLoad  float64 // [Pa] rings pressed by the gas
	Valves   float64 // [Pa] camshaft, followers, guides
	Pumps    float64 // [Pa] oil pump, water pump, fan
}

// Total is the sum [Pa].
func (f Friction) Total() float64 { return f.Bearings + f.Pistons + f.GasLoad + f.Valves + f.Pumps }

// times is the friction times a factor [-].
func (f Friction) times(k float64) Friction {
	return Friction{k * f.Bearings, k * f.Pistons, k * f.GasLoad, k * f.Valves, k * f.Pumps}
}

// Train is the kind of a valve train.
type Train uint8

// The kinds, the usual of vintage singles first.
const (
	Rocker         Train = iota // one cam in the head, rockers
	Finger                      // one cam in the head, finger followers
	Bucket                      // one cam in the head, buckets
	TwoCamsBuckets              // two cams in the head, buckets
	TwoCamsFingers              // two cams in the head, finger followers
	Pushrod                     // cam in the case, pushrods and rockers
)

// trains are the constants of each kind: flat followers [kPa mm], oscillating oiled [kPa mm^0.5 min^0.5] and mixed
// [kPa], and bearings of the camshafts of a single. Source: Patton, Nitschke and Heywood, SAE 890836, and Sandoval, MIT
// 2002, table 4.2, at second hand from works that print them; the bearings are counted.
var trains = [...]struct{ flat, oiled, mixed, bearings float64 }{
	Rocker: {400, 0.5, 21.4, 2}, Finger: {600, 0.2, 42.8, 2}, Bucket: {200, 0.5, 10.7, 2}, TwoCamsBuckets: {133, 0.5, 10.7, 4}, TwoCamsFingers: {600, 0.2, 25.8, 4}, Pushrod: {400, 0.5, 32.1, 2},
}

// Rubbing is what the friction of one cylinder follows from.
type Rubbing struct {
	Bore, Stroke float64 // [m]
	Ratio        float64 // [-] compression ratio
	Train        Train
	Valves       int     // of the cylinder
	Lift         float64 // [m] greatest, mean of the valves
	Plain        bool    // crank and big end run in plain bearings, not on balls, rollers and needles
	Water, Fan   bool    // a pump moves water, a fan air
}

// At is the friction at a crank speed [rad/s] above zero and full throttle, as the sum of the engine's parts. Patton,
// Nitschke and Heywood, SAE 890836, made it of engines with four to eight cylinders of 0.8 to 5 litres up to about 6000
// rpm; coefficients at second hand, with the constant of the camshaft's bearings that later works print. What a single
// has otherwise is by judgement: crank and big end roll (moment = half friction x load x bore, bearing makers'
// catalogues, from memory), half of a crank's seals and of a camshaft's constant, an oil pump of 8 litres a minute and
// 3 bar at 8000 rpm, no alternator of a car. Gears and clutch behind the crank belong to the driveline.
func (r Rubbing) At(omega float64) Friction {
	const kPa = 1000
	speed := omega * 30 / math.Pi // [1/min]
	sp := MeanPistonSpeed(r.Stroke, omega)
	b, s := r.Bore*1000, r.Stroke*1000 // [mm]
	swept := SweptVolume(r.Bore, r.Stroke, 1)
	journal := 0.3*r.Bore + 0.010 // [m] bore of the main bearings of singles, by judgement
	slow := 1 + 1000/speed
	var f Friction
	f.Bearings = kPa * 0.5 * 1.22e5 * journal * 1000 / (b * b * s)
	if r.Plain {
		main, rod := 0.65*b, 0.56*b // [mm] as the car engines of the source have them to their bore
		f.Bearings += kPa * 3.03e-4 * speed * (2*math.Pow(main, 3)*0.244*b + math.Pow(rod, 3)*0.3*b) / (b * b * s)
		f.Bearings += kPa * 2 * 1.35e-10 * main * main * speed * speed
	} else {
		const balls, needles = 0.0015, 0.0025 // [-] friction
		const pressure, moving = 4e5, 1140.0  // [Pa] of the gas, mean over a cycle; [kg/m3] of the bore cubed, what goes up and down
		load := pressure*disc(r.Bore) + 2/math.Pi*moving*math.Pow(r.Bore, 3)*r.Stroke/2*omega*omega
		f.Bearings += 4 * math.Pi / swept * 0.5 * (balls + needles) * load * journal
	}
	f.Pistons = kPa * (294*sp/b + 4.06e4*slow/(b*b))
	f.GasLoad = kPa * 6.89 * (0.088*r.Ratio + 0.182*math.Pow(r.Ratio, 1.33-0.0238*sp))
	t, n, lift := trains[r.Train], float64(r.Valves), r.Lift*1000
	f.Valves = kPa * (244*speed*t.bearings/(b*b*s) + 4.12*t.bearings/4 + t.flat*slow*n/s + t.oiled*math.Pow(lift, 1.5)*math.Sqrt(speed)*n/(b*s) + t.mixed*slow*lift*n/s)
	f.Pumps = kPa * (3 + 3*speed/8000)
	if r.Water {
		f.Pumps += kPa * 3 * speed / 8000
	}
	if r.Fan {
		f.Pumps += kPa * 30 * (speed / 7500) * (speed / 7500)
	}
	return f
}

// Rubbing is what of an engine rubs.
func (b *Breathing) Rubbing() Rubbing {
	return Rubbing{
		Bore: b.Bore, Stroke: b.Crank.Stroke, Ratio: b.Swept()/b.Clearance + 1, Train: b.Train, Valves: b.Intake.Count + b.Exhaust.Count,
		Lift: (b.Intake.Lobe.Lift(0) + b.Exhaust.Lobe.Lift(0)) / 2, Plain: b.PlainBearings, Water: b.Liquid, Fan: b.Fan,
	}
}

// frictionDoubt is how many times its share the doubt of the friction counts at a mean piston speed [m/s]: nothing was
// measured of small singles, and the sources end at about 12 m/s. Once friction was read on the engine, half of that is
// left for what it does at other speeds and fired. By judgement.
func (b *Breathing) frictionDoubt(pistonSpeed float64) float64 {
	times := 1 + 0.5*math.Min(1, math.Max(0, (pistonSpeed-9)/3))
	if b.FrictionFactor > 0 {
		times /= 2
	}
	return times
}
