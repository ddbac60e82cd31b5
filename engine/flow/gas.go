package flow

import "math"

// Kinds is how many gases a state is a mixture of: the first is what the shares of the others leave.
const Kinds = 3

// Cells of a table of energy.
const tableCells = 136

// Gas is what flows, as tables: internal energies of the gases at equal steps of temperature, straight between, and
// their gas constants. No gas turns into another here, so that each may count its energy from where it will; all should
// have about the same at about the same temperature: energy and shares are carried side by side, and where shares jump
// a large difference would be heat. It is only read and may be shared.
type Gas struct {
	From, Step float64                        // [K]
	Energy     [Kinds][tableCells + 1]float64 // [J/kg]
	Constant   [Kinds]float64                 // [J/(kg K)]
	rows       [tableCells + 1]entry
}

// entry is one row of the tables, ready for mixing: energy and its slope for the first gas, and the others'
// differences.
type entry struct {
	e0, e1, e2 float64 // [J/kg] at the row's temperature; e1 and e2 less e0
	c0, c1, c2 float64 // [J/(kg K)] to the next row
}

// Ready prepares the tables; it must be called once they are filled.
func (g *Gas) Ready() {
	for k := range tableCells + 1 {
		n := min(k, tableCells-1)
		c := func(kind int) float64 { return (g.Energy[kind][n+1] - g.Energy[kind][n]) / g.Step }
		g.rows[k] = entry{g.Energy[0][k], g.Energy[1][k] - g.Energy[0][k], g.Energy[2][k] - g.Energy[0][k], c(0), c(1) - c(0), c(2) - c(0)}
	}
}

// R is the gas constant of a mixture [J/(kg K)] with mass shares of the second and third gas.
func (g *Gas) R(y1, y2 float64) float64 {
	return g.Constant[0] + y1*(g.Constant[1]-g.Constant[0]) + y2*(g.Constant[2]-g.Constant[0])
}

// EnergyAt is the internal energy [J/kg] of a mixture at a temperature [K], and its slope [J/(kg K)], the heat capacity
// at constant volume. Outside the table the ends go on straight.
func (g *Gas) EnergyAt(t, y1, y2 float64) (e, cv float64) {
	k := g.row((t - g.From) / g.Step)
	r := &g.rows[k]
	cv = r.c0 + y1*r.c1 + y2*r.c2
	return r.e0 + y1*r.e1 + y2*r.e2 + cv*(t-g.From-float64(k)*g.Step), cv
}

// TemperatureOf is the temperature [K] at which a mixture has an internal energy [J/kg], and its heat capacity [J/(kg
// K)]; near is where to look first [K].
func (g *Gas) TemperatureOf(e, y1, y2, near float64) (t, cv float64) {
	return g.search(e, 0, y1, y2, near)
}

// TemperatureOfEnthalpy is the temperature [K] at which a mixture has an enthalpy [J/kg], energy and pressure work on
// the same count, and its heat capacity at constant volume [J/(kg K)]; near is where to look first [K].
func (g *Gas) TemperatureOfEnthalpy(h, y1, y2, near float64) (t, cv float64) {
	return g.search(h, g.R(y1, y2), y1, y2, near)
}

// search finds where energy and constant x temperature together have a value.
func (g *Gas) search(value, constant, y1, y2, near float64) (t, cv float64) {
	k := g.row((near - g.From) / g.Step)
	for range tableCells {
		r := &g.rows[k]
		cv = r.c0 + y1*r.c1 + y2*r.c2
		over := (value - (r.e0 + y1*r.e1 + y2*r.e2) - constant*(g.From+float64(k)*g.Step)) / ((cv + constant) * g.Step) // in rows
		switch {
		case over < -hair && k > 0:
			k = g.row(float64(k) + math.Floor(over))
		case over >= 1+hair && k < tableCells-1:
			k = g.row(float64(k) + over)
		default:
			return g.From + (float64(k)+over)*g.Step, cv
		}
	}
	return math.NaN(), cv
}

// hair is how far past its ends a row of the table serves [rows]: on a limit between two rows, rounding would have each
// send to the other.
const hair = 1e-9

// row keeps a row inside the table.
func (g *Gas) row(at float64) int {
	if !(at >= 0) { // not a number too: what is worked out from the row is not one either
		return 0
	}
	if at >= tableCells-1 {
		return tableCells - 1
	}
	return int(at)
}
