package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Cycle is one cycle of a build at one engine speed, and of its baseline when that is another and has one.
type Cycle struct {
	Build, Against string
	Cycle          *torque.Cycle
	Before         *torque.Cycle
	BeforeWhy      string // why the baseline has none
	System         quantity.System
}

// CycleOf computes one cycle of the answer's build at an engine speed [rpm] and, against its baseline when wanted, of
// that.
func CycleOf(ctx context.Context, a *asked.Answer, speed float64, against bool) (*Cycle, error) {
	c := &Cycle{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	var err error
	if c.Cycle, err = torque.ComputeCycle(ctx, a.Build, speed); err != nil || !against || a.Baseline.Name == a.Build.Name {
		return c, err
	}
	if c.Before, err = torque.ComputeCycle(ctx, a.Baseline, speed); err != nil {
		if !errors.Is(err, torque.ErrNoCurve) {
			return nil, err
		}
		c.BeforeWhy = err.Error()
	}
	return c, nil
}

// sureWave is how far a pressure in a pipe may be off [bar]: twice the worst root mean square against the measured
// motored single of docs/theory/engine.md. A wave smaller than that is not told from none.
const sureWave = 0.026

// muchBack is the share of a filling from which on gas pushed back is worth a change [-].
const muchBack = 0.05

// Answer is what is said of it: what the pipes do for the filling, the waves in them, the cylinder and its valves.
func (c *Cycle) Answer() report.Answer {
	none := report.NoBaseline(c.Against, c.BeforeWhy)
	return report.Answer{Lead: c.lead(), Object: func() any { return c.object() }, Dense: true, Lines: c.samples, Blocks: []report.Block{
		{Only: report.Terminal, Notes: none},
		{Only: report.Terminal, Table: c.turns(), Notes: []string{c.flame()}},
		{ID: "waves", Only: report.Page, Heading: "The waves in the pipes", Charts: c.waves(), Notes: []string{"Blue is below the pressure of the air, brown above. A sloping stripe is a wave on its way; what helps is brown at the intake valve as it shuts and blue at the exhaust valve while both are open."}},
		{ID: "charts", Only: report.Page, Heading: "The cylinder and its valves", Charts: c.charts(), Notes: slices.Concat([]string{c.flame()}, none, []string{"One cylinder, full throttle, spark for best torque. Degrees count from top dead centre of the overlap; firing is at 360."})},
	}}
}

// lead says what the pipes do for the filling at this speed, what to try, and how sure that is.
func (c *Cycle) lead() string {
	k := c.Cycle
	push := fmt.Sprintf("the wave in the intake does little (%s as the valve shuts)", signedBar(k.LatePush))
	switch {
	case k.LatePush > sureWave:
		push = fmt.Sprintf("the wave in the intake pushes as the valve shuts (%+.2f bar)", k.LatePush)
	case k.LatePush < -sureWave:
		push = fmt.Sprintf("the intake is short of pressure as the valve shuts (%+.2f bar)", k.LatePush)
	}
	pull := "the valves are not open together"
	switch {
	case math.IsNaN(k.OverlapPull):
	case k.OverlapPull < -sureWave:
		pull = fmt.Sprintf("the exhaust pulls while both valves are open (%s)", signedBar(k.OverlapPull))
	case k.OverlapPull > sureWave:
		pull = fmt.Sprintf("the exhaust pushes back while both valves are open (%s)", signedBar(k.OverlapPull))
	default:
		pull = fmt.Sprintf("the exhaust neither pulls nor pushes much while both valves are open (%s)", signedBar(k.OverlapPull))
	}
	advice := "nothing in the pipes stands in its way here"
	switch {
	case k.OverlapPull > sureWave && !(k.LatePush < -k.OverlapPull):
		advice = "try the head pipe's length and the silencer's outlet first"
	case k.LatePush < -sureWave:
		advice = "try the carburettor's bore, the filter and the intake's length first"
	case k.BackFlow > muchBack:
		advice = "an earlier intake closing would keep more of it at this speed"
	}
	return fmt.Sprintf("%s at %.0f rpm: %s: %s; %s; %.1f %% of what came in goes out again. How sure: waves within about ±%.2f bar, judged by a motored engine that was measured.",
		quantity.Capital(machine.TheBuild(c.Build)), k.Speed, advice, push, pull, 100*k.BackFlow, sureWave)
}

func signedBar(v float64) string {
	text := quantity.Number(v, 2) + " bar"
	if v >= 0.005 {
		return "+" + text
	}
	return text
}

// cycleHeads are the columns of a cycle as tables name them, with their units.
var cycleHeads = []string{"crank_deg", "cylinder_bar", "volume_cm3", "temperature_k", "ahead_of_flame_k", "behind_flame_k", "intake_lift_mm", "exhaust_lift_mm", "intake_flow_g_per_s", "exhaust_flow_g_per_s", "intake_valve_bar", "exhaust_valve_bar"}

func cycleRow(k *torque.Cycle, i int) []float64 {
	in := k.Intake[i]
	return []float64{k.Angle[i], k.Pressure[i], k.Volume[i], k.Temperature[i], k.Ahead[i], k.Behind[i], k.LiftIn[i], k.LiftOut[i], k.FlowIn[i], k.FlowOut[i], in[len(in)-1], k.Exhaust[i][0]}
}

// samples are a line for each sample of each build.
func (c *Cycle) samples() [][]string {
	lines := [][]string{append([]string{"build", "speed_rpm"}, cycleHeads...)}
	for _, k := range c.both() {
		for i := range k.Angle {
			line := []string{k.name, strconv.FormatFloat(k.Speed, 'f', 0, 64)}
			for _, v := range cycleRow(k.Cycle, i) {
				text := strconv.FormatFloat(v, 'f', 4, 64)
				if math.IsNaN(v) { // no flame
					text = ""
				}
				line = append(line, text)
			}
			lines = append(lines, line)
		}
	}
	return lines
}

type named struct {
	name string
	*torque.Cycle
}

func (c *Cycle) both() []named {
	list := []named{{c.Build, c.Cycle}}
	if c.Before != nil {
		list = append(list, named{c.Against, c.Before})
	}
	return list
}

type cycleJSON struct {
	Build       string      `json:"build"`
	Speed       float64     `json:"speed_rpm"` // [rpm]
	Lead        string      `json:"lead,omitempty"`
	Ambient     float64     `json:"ambient_bar"`          // [bar]
	LatePush    float64     `json:"intake_push_bar"`      // [bar]
	OverlapPull *float64    `json:"overlap_bar"`          // [bar]
	BackFlow    float64     `json:"pushed_back"`          // [-]
	Angle       []float64   `json:"crank_deg"`            // [deg]
	Pressure    []float64   `json:"cylinder_bar"`         // [bar]
	Volume      []float64   `json:"volume_cm3"`           // [cm3]
	Temperature []float64   `json:"temperature_k"`        // [K]
	Ahead       []*float64  `json:"ahead_of_flame_k"`     // [K] null when there is no flame
	Behind      []*float64  `json:"behind_flame_k"`       // [K]
	EndGas      float64     `json:"end_gas_k"`            // [K]
	Past        float64     `json:"past_the_rings"`       // [-]
	LiftIn      []float64   `json:"intake_lift_mm"`       // [mm]
	LiftOut     []float64   `json:"exhaust_lift_mm"`      // [mm]
	FlowIn      []float64   `json:"intake_flow_g_per_s"`  // [g/s]
	FlowOut     []float64   `json:"exhaust_flow_g_per_s"` // [g/s]
	IntakeLong  float64     `json:"intake_length_mm"`     // [mm]
	Intake      [][]float64 `json:"intake_bar"`           // [bar]
	ExhaustLong float64     `json:"exhaust_length_mm"`    // [mm]
	Exhaust     [][]float64 `json:"exhaust_bar"`          // [bar]
	Against     *cycleJSON  `json:"against,omitempty"`
}

// shortened leaves four decimals of each number, more than any of them is good for.
func shortened(list []float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = math.Round(v*1e4) / 1e4
	}
	return out
}

func cycleOut(name string, k *torque.Cycle) *cycleJSON {
	out := &cycleJSON{Build: name, Speed: k.Speed, Ambient: k.Ambient, LatePush: k.LatePush, BackFlow: k.BackFlow, Angle: shortened(k.Angle), Pressure: shortened(k.Pressure), Volume: shortened(k.Volume), Temperature: shortened(k.Temperature),
		LiftIn: shortened(k.LiftIn), LiftOut: shortened(k.LiftOut), FlowIn: shortened(k.FlowIn), FlowOut: shortened(k.FlowOut), IntakeLong: k.IntakeLong, ExhaustLong: k.ExhaustLong}
	out.EndGas, out.Past = k.EndGas, k.Past
	known := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		v = math.Round(v*1e4) / 1e4
		return &v
	}
	for i := range k.Angle {
		out.Ahead, out.Behind = append(out.Ahead, known(k.Ahead[i])), append(out.Behind, known(k.Behind[i]))
		out.Intake, out.Exhaust = append(out.Intake, shortened(k.Intake[i])), append(out.Exhaust, shortened(k.Exhaust[i]))
	}
	if !math.IsNaN(k.OverlapPull) {
		out.OverlapPull = &k.OverlapPull
	}
	return out
}

// object is what programs read, the baseline's cycle inside it.
func (c *Cycle) object() *cycleJSON {
	out := cycleOut(c.Build, c.Cycle)
	out.Lead = c.lead()
	if c.Before != nil {
		out.Against = cycleOut(c.Against, c.Before)
	}
	return out
}

// tableTurn is how far apart the lines of the printed table are [deg].
const tableTurn = 30.0

// turns is the cycle as a terminal has room for it: a line for every thirty degrees.
func (c *Cycle) turns() report.Table {
	lift := quantity.MustUnit("mm").In(c.System)
	places := 1
	if c.System == quantity.US {
		places = 3
	}
	t := report.Table{Heads: []string{"degrees", "cylinder, bar", "°C", "intake lift, " + lift.Label(), "exhaust lift", "in, g/s", "out, g/s", "at intake valve, bar", "at exhaust valve"}}
	next := tableTurn
	for i, a := range c.Cycle.Angle {
		if a < next-1e-6 {
			continue
		}
		next += tableTurn
		v := cycleRow(c.Cycle, i)
		long := func(mm float64) string {
			return quantity.Number(lift.FromSI(quantity.MustUnit("mm").ToSI(mm)), places)
		}
		t.Rows = append(t.Rows, report.Cells(quantity.Number(a, 0), quantity.Number(v[1], 2), quantity.Number(celsius(v[3]), 0), long(v[6]), long(v[7]), quantity.Number(v[8], 1), quantity.Number(v[9], 1), quantity.Number(v[10], 2), quantity.Number(v[11], 2)))
	}
	return t
}

// celsius is a temperature [C] of one in K.
func celsius(kelvin float64) float64 { return quantity.MustUnit("C").FromSI(kelvin) }

// flame says how hot the gas becomes on both sides of the flame, and what goes past the rings.
func (c *Cycle) flame() string {
	k := c.Cycle
	return fmt.Sprintf("The mixture ahead of the flame reaches %s °C before the last of it burns, the gas behind it %s °C; %s %% of what came in goes past the rings (usual gaps; half or twice as much is as likely).",
		quantity.Number(celsius(k.EndGas), 0), quantity.Number(celsius(k.Flame), 0), quantity.Number(100*k.Past, 1))
}

// charts are the cylinder and its valves over the crank's angle, and the work that the gas does.
func (c *Cycle) charts() []report.Picture {
	const overlap, turn = "degrees after top dead centre of the overlap", 90.0 // [deg] between the marks of the axis
	k, lift := c.Cycle, quantity.MustUnit("mm").In(c.System)
	builds := c.both()
	slices.Reverse(builds) // the baseline lies behind
	line := func(name string, y []float64) report.ChartLine { return report.ChartLine{Name: name, X: k.Angle, Y: y} }
	each := func(title, label string, of func(*torque.Cycle) []float64) report.Picture {
		chart := report.Chart{Title: title, XLabel: overlap, YLabel: label, XStep: turn}
		for _, b := range builds {
			chart.Lines = append(chart.Lines, report.ChartLine{Name: b.name, X: b.Angle, Y: of(b.Cycle)})
		}
		return chart
	}
	const top = 2.5 // [bar] higher pressures are left out, so that the gas exchange is seen
	low := func(name string, at func(i int) float64) report.ChartLine {
		l := line(name, nil)
		for i := range k.Angle {
			v := at(i)
			if v > top {
				v = math.NaN()
			}
			l.Y = append(l.Y, v)
		}
		return l
	}
	raised := func(name string, mm []float64) report.ChartLine {
		l := line(name, nil)
		for _, v := range mm {
			l.Y = append(l.Y, lift.FromSI(quantity.MustUnit("mm").ToSI(v)))
		}
		return l
	}
	shut := func(name string, kelvin []float64) report.ChartLine {
		l := report.ChartLine{Name: name}
		for i, a := range k.Angle {
			if a >= 270 && a <= 510 {
				l.X, l.Y = append(l.X, a), append(l.Y, celsius(kelvin[i]))
			}
		}
		return l
	}
	loop := report.Chart{Title: "Cylinder pressure against volume", XLabel: "volume, cm³", YLabel: "cylinder pressure, bar"}
	for _, b := range builds {
		loop.Lines = append(loop.Lines, report.ChartLine{Name: b.name, X: b.Volume, Y: b.Pressure, Closed: true})
	}
	return []report.Picture{
		report.Chart{Title: "Pressures at the valves against crank angle", XLabel: overlap, YLabel: "pressure at the valves, bar", XStep: turn, Lines: []report.ChartLine{
			low("exhaust", func(i int) float64 { return k.Exhaust[i][0] }),
			low("intake", func(i int) float64 { return k.Intake[i][len(k.Intake[i])-1] }),
			low("cylinder", func(i int) float64 { return k.Pressure[i] }),
		}},
		each("Flow through the intake valves", "into the cylinder, g/s", func(k *torque.Cycle) []float64 { return k.FlowIn }),
		report.Chart{Title: "Valve lift", XLabel: overlap, YLabel: "valve lift, " + lift.Label(), XStep: turn, Lines: []report.ChartLine{raised("exhaust", k.LiftOut), raised("intake", k.LiftIn)}},
		each("Flow through the exhaust valves", "out of the cylinder, g/s", func(k *torque.Cycle) []float64 { return k.FlowOut }),
		each("Cylinder pressure against crank angle", "cylinder pressure, bar", func(k *torque.Cycle) []float64 { return k.Pressure }),
		loop,
		report.Chart{Title: "Temperature in the cylinder", XLabel: overlap, YLabel: "temperature, °C", XStep: 30, Lines: []report.ChartLine{shut("behind the flame", k.Behind), shut("ahead of it", k.Ahead), shut("mean", k.Temperature)}},
	}
}

// waves are the pictures of the pressure along intake and exhaust, each from the valve outwards.
func (c *Cycle) waves() []report.Picture {
	k := c.Cycle
	from := make([][]float64, len(k.Intake))
	for i, row := range k.Intake {
		for j := len(row) - 1; j >= 0; j-- {
			from[i] = append(from[i], row[j])
		}
	}
	return []report.Picture{
		report.Waves{Title: "Pressure along the intake", Angle: k.Angle, Pressure: from, Ambient: k.Ambient, Long: k.IntakeLong, Open: k.LiftIn, System: c.System},
		report.Waves{Title: "Pressure along the exhaust", Angle: k.Angle, Pressure: k.Exhaust, Ambient: k.Ambient, Long: k.ExhaustLong, Open: k.LiftOut, System: c.System},
	}
}

// Moving is what a page wants to let the waves run: every couple of degrees, pressures along the whole way in
// thousandths of a bar.
type Moving struct {
	Angle    []int     `json:"angle"`    // [deg]
	Intake   [][]int   `json:"intake"`   // [mbar] mouth to valve
	Exhaust  [][]int   `json:"exhaust"`  // [mbar] valve to end
	Cylinder []int     `json:"cylinder"` // [mbar]
	LiftIn   []float64 `json:"liftIn"`   // [-] of the greatest
	LiftOut  []float64 `json:"liftOut"`  // [-]
	Share    float64   `json:"share"`    // [-] of the intake's length in that of both
	Ambient  int       `json:"ambient"`  // [mbar]
	Low      int       `json:"low"`      // [mbar] lowest and highest in the pipes
	High     int       `json:"high"`
}

// movingTurn is how far apart the pictures of the moving waves are [deg].
const movingTurn = 2.0

// Moving are the waves as a page lets them run.
func (c *Cycle) Moving() Moving {
	k := c.Cycle
	thousandth := func(bar float64) int { return int(math.Round(1000 * bar)) }
	m := Moving{Share: k.IntakeLong / (k.IntakeLong + k.ExhaustLong), Ambient: thousandth(k.Ambient), Low: thousandth(k.Ambient), High: thousandth(k.Ambient)}
	mostIn, mostOut := greatest(k.LiftIn), greatest(k.LiftOut)
	next := 0.0
	row := func(list []float64) []int {
		out := make([]int, len(list))
		for i, v := range list {
			out[i] = thousandth(v)
			m.Low, m.High = min(m.Low, out[i]), max(m.High, out[i])
		}
		return out
	}
	for i, a := range k.Angle {
		if a < next {
			continue
		}
		next = a + movingTurn
		m.Angle, m.Cylinder = append(m.Angle, int(math.Round(a))), append(m.Cylinder, thousandth(k.Pressure[i]))
		m.Intake, m.Exhaust = append(m.Intake, row(k.Intake[i])), append(m.Exhaust, row(k.Exhaust[i]))
		m.LiftIn, m.LiftOut = append(m.LiftIn, math.Round(100*k.LiftIn[i]/mostIn)/100), append(m.LiftOut, math.Round(100*k.LiftOut[i]/mostOut)/100)
	}
	return m
}

func greatest(list []float64) float64 {
	most := 1e-9
	for _, v := range list {
		most = math.Max(most, v)
	}
	return most
}

// ReadSpeed reads an engine speed [rpm] as a person types it, with its unit or without.
func ReadSpeed(text string) (float64, error) {
	bad := fmt.Errorf("%q is no engine speed; write it in rpm, such as 5500", text)
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "rpm")), 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, bad
	}
	return v, nil
}

// SpeedText is the engine speed as people write it.
func (c *Cycle) SpeedText() string { return quantity.Number(c.Cycle.Speed, 0) }

// SpeedChoice is an engine speed that a page offers.
type SpeedChoice struct {
	Name  string
	Speed float64 // [rpm]
}

// nextSpeed is how far a page's next engine speed is [rpm].
const nextSpeed = 500.0

// OtherSpeeds are the speeds to look at from here: those of the peaks [rpm], as far as they are known, and the next
// ones.
func (c *Cycle) OtherSpeeds(torque, power float64) []SpeedChoice {
	var list []SpeedChoice
	if torque > 0 {
		list = append(list, SpeedChoice{"peak torque", torque})
	}
	if power > 0 {
		list = append(list, SpeedChoice{"peak power", power})
	}
	slower := nextSpeed * (math.Ceil(c.Cycle.Speed/nextSpeed) - 1)
	if slower >= 2*nextSpeed {
		list = append(list, SpeedChoice{"slower", slower})
	}
	return append(list, SpeedChoice{"faster", nextSpeed * (math.Floor(c.Cycle.Speed/nextSpeed) + 1)})
}
