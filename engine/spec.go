package engine

import (
	"errors"
	"fmt"
	"math"

	"shakedown/engine/gas"
	"shakedown/engine/valvetrain"
)

// Breathing is what the torque curve of a four-stroke engine follows from. All cylinders are alike; each breathes
// through a carburettor, a runner and a header of its own and its share of airbox and silencer.
type Breathing struct {
	Cylinders int
	Bore      float64 // [m]
	Crank     Crank
	Clearance float64 // [m3] volume of one cylinder at top dead centre

	Intake, Exhaust Valves

	PortIn, PortOut                 Bore    // in the head
	Runner                          float64 // [m] from the port to the carburettor
	Venturi                         float64 // [m] carburettor's bore at its narrowest
	Airbox                          float64 // [m3] of one cylinder; 0 breathes from the open
	FilterArea                      float64 // [m2] of one cylinder; 0 for no filter
	Header                          []Bore  // from the port outwards
	Silencer                        float64 // [m3] of one cylinder, all its chambers; 0 for an open pipe
	Outlet                          float64 // [m] bore of the silencer's outlet
	Chambers                        int     // equal ones, one behind the other; 0 is one
	Passage                         float64 // [m] bore between chambers, when there are several
	Core                            Bore    // the perforated pipe through the silencer; none without a length
	CoreOpen                        float64 // [-] open share of the core's wall
	Ambient                         Air
	Charge                          *gas.Charge
	Flame                           FlameFuel
	CellIn, CellOut                 float64 // [m] about how long cells shall be; 0 takes 12 and 20 mm
	Motored                         bool    // without burning
	Liquid, Fan                     bool    // cooled by liquid; by air that a fan blows
	Train                           Train
	PlainBearings                   bool    // of crank and big end
	FrictionFactor                  float64 // [-] friction as read over that of the parts; 0 where it was not read
	LeakRead                        bool    // a leak-down was read: Leak counts, otherwise the usual gaps of the rings
	Leak                            float64 // [m2] effective area of all that leaks, by the leak-down
	Doubt                           Doubt   // what the model is moved by to see how sure it is; zero for none
	WallHead, WallPiston, WallLiner float64 // [K]; 0 takes usual ones
}

// Bore is a length of pipe with one diameter.
type Bore struct {
	Length   float64 // [m]
	Diameter float64 // [m]
}

// Air is what surrounds the engine.
type Air struct {
	Pressure    float64 // [Pa]
	Temperature float64 // [K]
}

// Valves are the valves of one side of one cylinder.
type Valves struct {
	Count  int
	Head   float64 // [m]
	Lobe   valvetrain.Lobe
	Centre float64 // [rad] of the lobe after top dead centre of the overlap; exhaust before, so below zero
	Lash   float64 // [m]
	Flow   []valvetrain.FlowPoint
}

// Doubt moves what the model takes from the literature, each by a share of itself or as said, so that a curve's range
// can hold how far that may be off.
type Doubt struct {
	Burn       float64 // [-] of the burn's angle
	Heat       float64 // [-] of the heat to the walls
	Rub        float64 // [-] of the pipes' friction factor
	Mouth      float64 // [-] of the carburettor's mouth
	Outlet     float64 // [-] of the silencer's outlet
	Filter     float64 // [-] of the filter
	Evaporated float64 // [-] added to the share of the latent heat that the air gives
	Walls      float64 // [K] added to the cylinder's walls
	HeaderWall float64 // [K] added to the head pipe's wall
	PortWall   float64 // [K] added to the walls of the ports
	Friction   float64 // [-] of the friction
	Port       float64 // [-] of the discharge coefficients of all valves
	Leak       float64 // [-] of the area that leaks, where none was read; of one that was read, leakReadDoubt of that
}

// Doubts are the half-widths that hold 95 % of what the model takes from the literature, by name. By judgement from the
// spread of the published values; set before any engine was compared.
func Doubts() map[string]Doubt {
	return map[string]Doubt{
		"burn's angle": {Burn: 0.25}, "heat to the walls": {Heat: 0.3}, "pipe friction": {Rub: 0.4}, "carburettor's mouth": {Mouth: 0.08}, "silencer's outlet": {Outlet: 0.12}, "filter": {Filter: 0.5},
		"evaporation": {Evaporated: 0.3}, "walls": {Walls: 35}, "port's wall": {PortWall: 25}, "head pipe's wall": {HeaderWall: 120}, "friction": {Friction: 0.3}, "unsteady flow through ports": {Port: 0.05}, "leak past the rings": {Leak: 1},
	}
}

// Times is a doubt times a factor [-]: below zero it moves the model the other way.
func (d Doubt) Times(k float64) Doubt {
	return Doubt{
		Burn: k * d.Burn, Heat: k * d.Heat, Rub: k * d.Rub, Mouth: k * d.Mouth, Outlet: k * d.Outlet, Filter: k * d.Filter, Evaporated: k * d.Evaporated, Walls: k * d.Walls,
		HeaderWall: k * d.HeaderWall, PortWall: k * d.PortWall, Friction: k * d.Friction, Port: k * d.Port, Leak: k * d.Leak,
	}
}

// Usual values of what no sheet gives, from the literature; each is good to about a tenth of itself, temperatures to 40
// K.
const (
	usualCellIn  = 0.012
	usualCellOut = 0.020
	intakeWall   = 330.0 // [K] runner and carburettor
	headerWall   = 750.0
	pipeFriction = 0.006  // [-] Fanning's factor of drawn pipe with a bend or two, Re 1e5
	filterLoss   = 0.20   // [-] discharge coefficient on the filter's area
	outletLoss   = 0.80   // [-] discharge coefficient of a silencer's outlet and of the passages between its chambers
	coreLoss     = 0.60   // [-] of the holes in a core, sharp-edged
	mouthLoss    = 0.92   // [-] of the carburettor's bell mouth
	evaporated   = 0.5    // [-] share of the fuel's latent heat that the air gives
	crevice      = 0.015  // [-] crevices of the piston over the clearance volume, Heywood 1988 section 8.6, from memory
	carburettor  = 0.080  // [m] length of its body
	openEnd      = 0.6133 // [-] what an open end's wave goes on beyond it, of its radius; Levine and Schwinger 1948
)

// walls are the temperatures of what the gas touches in cylinder and head [K].
type walls struct{ head, piston, liner, intakePort, exhaustPort float64 }

// Full load, means over the surface. Heywood 1988 ch. 12 and what the trade reads under spark plugs, from memory; good
// to 35 K.
var (
	airCooled    = walls{490, 540, 425, 385, 520}
	liquidCooled = walls{450, 520, 390, 365, 460}
)

// walls are those of the engine.
func (b *Breathing) walls() walls {
	w := airCooled
	if b.Liquid {
		w = liquidCooled
	}
	w.head, w.piston, w.liner = orUsual(b.WallHead, w.head), orUsual(b.WallPiston, w.piston), orUsual(b.WallLiner, w.liner)
	return w
}

// Compression ratios [-] between which an engine on petrol runs at all; common practice: side-valve engines of a
// century ago had 4.
const (
	lowestRatio  = 3.0
	highestRatio = 20.0
)

// Validate says what of it cannot run.
func (b *Breathing) Validate() error {
	if b.Charge == nil {
		return errors.New("the torque curve needs the charge; it is missing")
	}
	return b.ValidateMeasures()
}

// ValidateMeasures is Validate for a breathing that has no charge yet.
func (b *Breathing) ValidateMeasures() error {
	if err := b.Crank.Validate(); err != nil {
		return err
	}
	for _, c := range []struct {
		ok   bool
		what string
	}{
		{b.Cylinders >= 1, "the number of cylinders"}, {b.Bore > 0, "the bore"}, {b.Clearance > 0, "the clearance volume"},
		{b.PortIn.Length > 0 && b.PortIn.Diameter > 0, "the intake port"}, {b.PortOut.Length > 0 && b.PortOut.Diameter > 0, "the exhaust port"}, {b.Runner >= 0, "the runner"}, {b.Venturi > 0, "the carburettor's venturi"},
		{b.Silencer == 0 || b.Outlet > 0, "the silencer's outlet"}, {b.Ambient.Pressure > 0 && b.Ambient.Temperature > 0, "the air"},
		{b.Silencer == 0 || b.Chambers <= 1 || b.Passage > 0, "the bore between the silencer's chambers"}, {b.Core.Length == 0 || b.Core.Length > 0 && b.Core.Diameter > 0 && b.CoreOpen > 0, "the silencer's core: length, bore and open share"},
		{b.Airbox >= 0 && b.Silencer >= 0 && b.FilterArea >= 0, "airbox, filter and silencer"}, {b.Leak >= 0, "the area of the leak"},
		{len(b.Intake.Flow) > 0 && len(b.Exhaust.Flow) > 0, "the flow coefficients of the ports"},
		{b.Intake.Count > 0 && b.Exhaust.Count > 0 && b.Intake.Head > 0 && b.Exhaust.Head > 0, "the valves"},
	} {
		if !c.ok {
			return fmt.Errorf("the torque curve needs %s; it is missing or below zero", c.what)
		}
	}
	for _, h := range b.Header {
		if !(h.Length > 0 && h.Diameter > 0) {
			return errors.New("the torque curve needs length and bore of every piece of the head pipe above zero")
		}
	}
	if b.Core.Length > 0 && b.Chambers > 1 {
		return errors.New("a silencer is computed with a core through one chamber, or with several chambers and no core; this one has both")
	}
	if b.Core.Length > 0 && b.Silencer > 0 && disc(b.Core.Diameter)*b.Core.Length > b.Silencer {
		return errors.New("the silencer's core is larger than the silencer; look at its bore and length and at the volume")
	}
	if r := b.Swept()/b.Clearance + 1; !(r <= highestRatio && r >= lowestRatio) {
		return fmt.Errorf("a compression ratio of %.3g does not run on petrol, %g to %g do; look for a slipped digit in bore, stroke and the chamber's volumes", r, lowestRatio, highestRatio)
	}
	return nil
}

// Swept is the displacement of one cylinder [m3].
func (b *Breathing) Swept() float64 { return SweptVolume(b.Bore, b.Crank.Stroke, 1) }

// Lift is that of the valves [m], lash taken off, at a crank angle [rad] after top dead centre of the overlap, from 0
// to 4 pi; 0 while they are shut.
func (v *Valves) Lift(theta float64) float64 {
	phi := theta - v.Centre
	if phi > 2*math.Pi {
		phi -= 4 * math.Pi
	} else if phi < -2*math.Pi {
		phi += 4 * math.Pi
	}
	return math.Max(0, v.Lobe.Lift(phi)-v.Lash)
}

// area is the effective area of the valves [m2] at a crank angle as for Lift: discharge coefficient x curtain area,
// scaled, not above the port's.
func (v *Valves) area(theta, port, scale float64) float64 {
	lift := v.Lift(theta)
	if lift <= 0 {
		return 0
	}
	a := scale * valvetrain.CoefficientAt(v.Flow, lift) * valvetrain.CurtainArea(v.Head, lift) * float64(v.Count)
	return math.Min(a, port)
}
