package engine

import (
	"context"
	"errors"
	"fmt"
	"math"

	"shakedown/engine/flow"
	"shakedown/engine/gas"
)

// Point is one engine speed of a torque curve, all cylinders together.
type Point struct {
	Speed      float64 // [rad/s] of the crank
	Torque     float64 // [N m] at the crank
	Power      float64 // [W]
	Efficiency float64 // [-] volumetric, on the air around the engine
	Residual   float64 // [-] mass of burnt gas over all gas when the intake valve has shut
	Indicated  float64 // [Pa] mean effective pressure of compression and expansion
	Pumping    float64 // [Pa] of exhaust and intake strokes, below zero as a rule
	Friction   Friction
	Unburnt    float64 // [-] share of the fuel that leaves unburnt: what the crevices hide from the flame
	Fuel       float64 // [kg/J] of brake work
	Exhaust    float64 // [K] mean temperature of what leaves the port, by mass
	Peak       float64 // [Pa] of the cylinder
	Heat       float64 // [-] share of the fuel's heat that goes into the cylinder's walls
	Burn       float64 // [rad] of the whole burn
	EndGas     float64 // [K] hottest that the mixture ahead of the flame becomes, until the last twentieth of it burns
	Flame      float64 // [K] hottest that the gas behind the flame becomes
	Past       float64 // [-] share of what the cylinder takes in that goes past the rings
	Cycles     int     // that it took to become periodic
	Converged  bool
	Off        float64 // [-] what mass and energy of the last cycle are off balance, of what passes in a cycle
}

// ErrNotPeriodic says that the cycles did not become alike.
var ErrNotPeriodic = errors.New("the engine's cycles did not settle")

// Limits of the search for a periodic cycle.
const (
	fewestCycles = 4
	mostCycles   = 120
	balanced     = 1e-3 // [-] of what passes in a cycle
	courant      = 0.9
	longestTurn  = 1 * math.Pi / 180 // [rad] of a step
)

// residualFollows is by how much the residual gas that the flame's speed goes by follows that of the last cycle: all of
// it could make slow and quick burns take turns for ever.
const residualFollows = 0.4

// datum is the temperature at which all gases of a flow count no energy [K]: in the middle of intake and exhaust.
const datum = 700.0

// charge makes the tables of the flow from those of the charge, and the energies [J/kg] that they leave out.
func chargeFlow(c *gas.Charge) (*flow.Gas, [gas.Kinds]float64) {
	g := &flow.Gas{From: gas.TableFrom, Step: gas.TableStep, Constant: c.Constant}
	var left [gas.Kinds]float64
	k := int((datum - gas.TableFrom) / gas.TableStep)
	for kind := range gas.Kinds {
		left[kind] = c.Energy[kind][k]
		for i := range c.Energy[kind] {
			g.Energy[kind][i] = c.Energy[kind][i] - left[kind]
		}
	}
	g.Ready()
	return g, left
}

// rig is one cylinder with its pipes and boxes, running.
type rig struct {
	spec     *Breathing
	g        *flow.Gas
	left     [gas.Kinds]float64
	walls    walls
	rub      Rubbing
	omega    float64 // [rad/s]
	theta    float64 // [rad] after top dead centre of the overlap, 0 to 4 pi
	in, out  *flow.Pipe
	airbox   *flow.Volume // nil for none
	silencer *silencer
	outside  flow.Reservoir // fresh mixture at the intake's mouth
	open     flow.Reservoir // beyond the exhaust

	// The cylinder.
	mass, energy, m1, m2, t, cv, volume, p float64
	hid, hid1, hid2                        float64 // [kg] in the crevices
	shut                                   struct{ t, p, v float64 }
	wasShut                                bool
	burnFrom, burnAngle, burnFresh, burnt  float64
	zones                                  zones
	pistonSpeed                            float64
	swept, head, portIn, portOut           float64

	sum      sums
	ran      bool    // it has been periodic at another speed
	leftOver float64 // [-] residual share that the flame goes by: a mean of the last few cycles
}

// sums gathers what passes in one cycle.
type sums struct {
	gross, pump                float64 // [J]
	air, fuel                  float64 // [kg] through the intake valve, net
	massIn, massOut            float64 // [kg] through the valves, net
	hot, hotMass               float64 // [kg K] [kg] out of the exhaust port
	peak, heat, residual       float64
	crossedMass, crossedEnergy float64 // from outside into the whole, net
	muffled, muffledHeat       float64 // [kg] [J] from the exhaust into the silencer, net
	released                   float64 // [J] by burning, above the datum
	burntFuel                  float64 // [kg]
	endGas, flame              float64 // [K] highest ahead of the flame, until the last twentieth burns, and behind it
	past                       float64 // [kg] past the rings
	steps                      int
}

// newRig builds the pipes and fills them with a guess, or with what a rig of nearly the same engine holds at the end of
// a cycle.
func newRig(b *Breathing, omega float64, like *rig) (*rig, error) {
	r := &rig{spec: b, omega: omega, swept: b.Swept()}
	r.g, r.left = chargeFlow(b.Charge)
	r.pistonSpeed = MeanPistonSpeed(b.Crank.Stroke, omega)
	r.head = disc(b.Bore)
	r.walls, r.rub = b.walls(), b.Rubbing()
	fuel, _ := b.Charge.Fresh()
	// The air gives half of the heat that turns the fuel into vapour.
	const heatCapacity = 1006 // [J/(kg K)] of air
	cool := b.Ambient.Temperature - (evaporated+b.Doubt.Evaporated)*b.Charge.Fuel.Latent()*fuel/heatCapacity
	r.outside = r.g.Rest(b.Ambient.Pressure, cool, fuel, 0)
	r.open = r.g.Rest(b.Ambient.Pressure, b.Ambient.Temperature, 0, 1)
	fresh := func(float64) flow.State {
		return flow.State{Pressure: b.Ambient.Pressure, Temperature: cool, Y1: fuel}
	}
	hot := func(float64) flow.State {
		t := 950.0
		if b.Motored {
			t = b.Ambient.Temperature
		}
		return flow.State{Pressure: b.Ambient.Pressure * 1.02, Temperature: t, Y2: 1}
	}
	along := func(pipe func(*rig) *flow.Pipe, guess func(float64) flow.State) func(length float64) func(float64) flow.State {
		return func(length float64) func(float64) flow.State {
			if like == nil {
				return guess
			}
			p := pipe(like)
			return func(x float64) flow.State { return p.At(min(p.Cells()-1, int(x/length*float64(p.Cells())))) }
		}
	}
	startIn := along(func(r *rig) *flow.Pipe { return r.in }, fresh)
	startOut := along(func(r *rig) *flow.Pipe { return r.out }, hot)
	cellIn, cellOut := orUsual(b.CellIn, usualCellIn), orUsual(b.CellOut, usualCellOut)
	mouth := math.Max(1.15*b.Venturi, b.PortIn.Diameter)
	profile := bores{{openEnd * mouth / 2, mouth}, {carburettor * 0.4, mouth}, {carburettor * 0.2, b.Venturi}, {carburettor * 0.4, b.PortIn.Diameter}, {b.Runner, b.PortIn.Diameter}, {b.PortIn.Length, b.PortIn.Diameter}}
	whole := profile.length()
	wallIn := func(x float64) float64 { // the port is hot, what is before it is not
		if x > whole-b.PortIn.Length {
			return r.walls.intakePort + b.Doubt.PortWall
		}
		return intakeWall
	}
	wallOut := func(x float64) float64 {
		if x < b.PortOut.Length {
			return r.walls.exhaustPort + b.Doubt.PortWall
		}
		return headerWall + b.Doubt.HeaderWall
	}
	var err error
	if r.in, err = flow.NewPipe(r.g, flow.Shape{Length: profile.length(), Diameter: profile.at, Cell: cellIn, Friction: pipeFriction * (1 + b.Doubt.Rub), Wall: wallIn, Heat: 1, Start: startIn(profile.length())}); err != nil {
		return nil, err
	}
	last := b.PortOut.Diameter
	profile = bores{{b.PortOut.Length, last}}
	for _, h := range b.Header {
		profile = append(profile, Bore{h.Length, h.Diameter})
		last = h.Diameter
	}
	muffled := b.Silencer > smallestBox*r.swept
	reaches := profile.length() // [m] as far as the silencer
	if muffled && b.Core.Length > 0 {
		profile = append(profile, b.Core)
		last = b.Core.Diameter
	}
	profile = append(profile, Bore{openEnd * last / 2, last})
	if r.out, err = flow.NewPipe(r.g, flow.Shape{Length: profile.length(), Diameter: profile.at, Cell: cellOut, Friction: pipeFriction * (1 + b.Doubt.Rub), Wall: wallOut, Heat: 1, Start: startOut(profile.length())}); err != nil {
		return nil, err
	}
	if muffled {
		s := hot(0)
		s.Temperature *= 0.85
		if r.silencer, err = newSilencer(b, r.g, r.out, reaches, s); err != nil {
			return nil, err
		}
		if like != nil && like.silencer != nil {
			if err = r.silencer.fillLike(like.silencer); err != nil {
				return nil, err
			}
		}
	}
	r.portIn, r.portOut = r.in.EndArea(flow.Far), r.out.EndArea(flow.Near)
	if b.Airbox > smallestBox*r.swept {
		s := fresh(0)
		if like != nil && like.airbox != nil {
			s = like.airbox.State()
		}
		if r.airbox, err = flow.NewVolume(r.g, b.Airbox, s); err != nil {
			return nil, err
		}
	}
	// The cylinder at the overlap: burnt gas at the pressure around.
	r.volume = b.Clearance
	r.fill(b.Ambient.Pressure, hot(0).Temperature, 0, 1)
	if like != nil {
		r.fill(like.p, like.t, like.m1/like.mass, like.m2/like.mass)
		r.leftOver, r.ran = like.leftOver, true
	}
	return r, nil
}

func orUsual(v, usual float64) float64 {
	if v > 0 {
		return v
	}
	return usual
}

// bores is a pipe as pieces; where the diameter changes it does so over a short cone inside the longer piece.
type bores []Bore

func (b bores) length() float64 {
	sum := 0.0
	for _, p := range b {
		sum += p.Length
	}
	return sum
}

// smallestBox is the size below which an airbox or silencer is as good as none, in swept volumes.
const smallestBox = 0.5

// cone is how long a step of diameter takes [m].
const cone = 0.02

func (b bores) at(x float64) float64 {
	for i, p := range b {
		if x <= p.Length || i == len(b)-1 {
			d := p.Diameter
			if i > 0 && b[i-1].Diameter != d {
				if over := math.Min(cone, p.Length); x < over {
					return b[i-1].Diameter + (d-b[i-1].Diameter)*x/over
				}
			}
			return d
		}
		x -= p.Length
	}
	return b[len(b)-1].Diameter
}

// fullCycle is two turns [rad].
const fullCycle = 4 * math.Pi

// cycle runs one cycle.
func (r *rig) cycle(ctx context.Context, see func(r *rig)) error {
	r.sum = sums{}
	r.theta = 0
	for r.theta < fullCycle {
		if err := r.step(); err != nil {
			return fmt.Errorf("at %.0f degrees of the crank: %w", r.theta*180/math.Pi, err)
		}
		if see != nil {
			see(r)
		}
	}
	return ctx.Err()
}

// step takes everything one time step on.
func (r *rig) step() error {
	b := r.spec
	dt := math.Min(r.in.LongestStep(courant), r.out.LongestStep(courant))
	dt = math.Min(dt, longestTurn/r.omega)
	if rest := (fullCycle - r.theta) / r.omega; dt > rest*(1-1e-12) {
		dt = rest
	}
	turn := dt * r.omega
	middle := r.theta + turn/2
	r.in.Prepare(dt)
	r.out.Prepare(dt)
	cylinder := r.rest()
	inlet := r.outside
	if r.airbox != nil {
		inlet = r.airbox.Rest()
	}
	exit, leaves := r.open, r.out.EndArea(flow.Far)
	if r.silencer != nil {
		exit, leaves = r.silencer.behind(r.out, r.open)
	}
	openIn, openOut := b.Intake.area(middle, r.portIn, 1+b.Doubt.Port), b.Exhaust.area(middle, r.portOut, 1+b.Doubt.Port)
	if err := r.in.Opening(flow.Near, mouthLoss*(1+b.Doubt.Mouth)*r.in.EndArea(flow.Near), &inlet); err != nil {
		return err
	}
	if err := r.in.Opening(flow.Far, openIn, &cylinder); err != nil {
		return err
	}
	if err := r.out.Opening(flow.Near, openOut, &cylinder); err != nil {
		return err
	}
	if err := r.out.Opening(flow.Far, leaves, &exit); err != nil {
		return err
	}
	if err := r.in.Advance(dt); err != nil {
		return err
	}
	if err := r.out.Advance(dt); err != nil {
		return err
	}
	if r.silencer != nil {
		if err := r.silencer.throughCore(r.out, dt); err != nil {
			return err
		}
	}
	if err := r.boxes(dt); err != nil {
		return err
	}
	var in, out passed
	in.mass, in.energy, in.m1, in.m2 = r.in.Into(flow.Far)
	in = passed{-in.mass, -in.energy, -in.m1, -in.m2}
	out.mass, out.energy, out.m1, out.m2 = r.out.Into(flow.Near)
	if out.mass > 0 {
		r.sum.hot += out.mass * r.out.At(0).Temperature
		r.sum.hotMass += out.mass
	}
	return r.cylinder(dt, turn, in, out)
}

// passed is what went through a valve in a step: into the cylinder through the intake, out of it through the exhaust.
type passed struct{ mass, energy, m1, m2 float64 } // [kg] [J] [kg] [kg]

// boxes moves gas between boxes, pipes and the open.
func (r *rig) boxes(dt float64) error {
	s := &r.sum
	mass, energy, m1, m2 := r.in.Into(flow.Near)
	if r.airbox == nil {
		s.crossedMass += mass
		s.crossedEnergy += energy
	} else {
		if err := r.airbox.Add(-mass, -energy, -m1, -m2); err != nil {
			return err
		}
		area := filterLoss * (1 + r.spec.Doubt.Filter) * r.spec.FilterArea
		if r.spec.FilterArea == 0 {
			area = r.in.EndArea(flow.Near)
		}
		var err error
		if mass, energy, _, _, err = r.airbox.Exchange(&r.outside, area, dt); err != nil {
			return err
		}
		s.crossedMass += mass
		s.crossedEnergy += energy
	}
	mass, energy, m1, m2 = r.out.Into(flow.Far)
	if r.silencer == nil {
		s.crossedMass += mass
		s.crossedEnergy += energy
		return nil
	}
	s.muffled -= mass
	s.muffledHeat -= energy
	mass, energy, err := r.silencer.pass(passed{-mass, -energy, -m1, -m2}, &r.open, dt)
	s.crossedMass += mass
	s.crossedEnergy += energy
	return err
}

// content is mass [kg] and energy [J] of all gas in the rig, and of each box.
func (r *rig) content() (mass, energy, boxMass, boxEnergy float64) {
	a, b, _, _ := r.in.Content()
	c, d, _, _ := r.out.Content()
	mass, energy = r.mass+r.hid+a+c, r.energy+b+d
	var boxes []*flow.Volume
	if r.airbox != nil {
		boxes = append(boxes, r.airbox)
	}
	if r.silencer != nil {
		boxes = append(boxes, r.silencer.chambers...)
	}
	for _, v := range boxes {
		m, e, _, _ := v.Content()
		boxMass += m
		boxEnergy += e
	}
	return mass + boxMass, energy + boxEnergy, boxMass, boxEnergy
}

// settle runs cycles until they are alike. What the boxes gain in a cycle must vanish beside what passes: they are
// slow.
func (r *rig) settle(ctx context.Context) (Point, error) {
	var p Point
	last := math.NaN()
	for n := 1; n <= mostCycles; n++ {
		mass, energy, _, _ := r.content()
		if err := r.cycle(ctx, nil); err != nil {
			p.Cycles = n
			return p, err
		}
		after, afterEnergy, _, _ := r.content()
		s := &r.sum
		passing := math.Max(1e-12, s.massIn)
		heat := passing * 1e6 // [J] about what the gas carries through
		off := math.Max(math.Abs(after-mass)/passing, math.Abs(afterEnergy-energy)/heat)
		p = r.point(n, off)
		p.Converged = n >= fewestCycles && off < balanced && math.Abs(p.Efficiency-last) < balanced*math.Max(0.1, p.Efficiency)
		if p.Converged {
			r.ran = true
			return p, nil
		}
		last = p.Efficiency
		if n == 2 && !r.ran {
			if r.silencer != nil && r.sum.muffled > 0 {
				if err := r.silencer.warm(r.g, r.sum.muffledHeat/r.sum.muffled); err != nil {
					return p, err
				}
			}
		}
	}
	return p, nil
}

// point is what the last cycle came to.
func (r *rig) point(cycles int, off float64) Point {
	b, s := r.spec, &r.sum
	p := Point{Speed: r.omega, Cycles: cycles, Off: off, Residual: s.residual, Peak: s.peak, Burn: r.burnAngle, EndGas: s.endGas, Flame: s.flame}
	if s.massIn > 0 {
		p.Past = s.past / s.massIn
	}
	p.Indicated, p.Pumping = s.gross/r.swept, s.pump/r.swept
	p.Friction = r.rub.At(r.omega).times(orUsual(b.FrictionFactor, 1) * (1 + b.frictionDoubt(r.pistonSpeed)*b.Doubt.Friction))
	density := b.Ambient.Pressure / (b.Charge.Constant[gas.FreshAir] * b.Ambient.Temperature)
	p.Efficiency = s.air / (density * r.swept)
	brake := p.Indicated + p.Pumping - p.Friction.Total()
	p.Torque = TorqueFromMeanEffectivePressure(brake, r.swept*float64(b.Cylinders))
	p.Power = p.Torque * r.omega
	if brake > 0 {
		p.Fuel = s.fuel / (brake * r.swept)
	}
	if s.hotMass > 0 {
		p.Exhaust = s.hot / s.hotMass
	}
	if s.fuel > 0 {
		if !b.Motored {
			p.Unburnt = 1 - s.burntFuel/s.fuel
		}
		p.Heat = s.heat / (s.fuel * b.Charge.Heating)
	}
	return p
}
