package app

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"shakedown/forecast"
	"shakedown/quantity"
	"shakedown/report"
)

// CycleAnswer is one cycle of a build at one engine speed, and of its baseline when that is another and has one.
type CycleAnswer struct {
	Build, Against string
	Cycle          *forecast.Cycle
	Before         *forecast.Cycle
	BeforeWhy      string // why the baseline has none
	System         quantity.System
}

// Cycle computes one cycle of a question's build at an engine speed [rpm]; 0 takes that of the torque's peak, for which the whole
// curve is computed first.
func Cycle(ctx context.Context, q Question, speed float64) (*CycleAnswer, error) {
	a, err := Ask(q)
	if err != nil {
		return nil, err
	}
	if speed == 0 {
		k, err := forecast.ComputeCurve(ctx, a.Build, nil)
		if err != nil {
			return nil, err
		}
		speed = k.Torque.Speed
	}
	return a.Cycle(ctx, speed, q.Against != "")
}

// Cycle computes one cycle of the answer's build at an engine speed [rpm] and, against its baseline when wanted, of that.
func (a *Answer) Cycle(ctx context.Context, speed float64, against bool) (*CycleAnswer, error) {
	c := &CycleAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	var err error
	if c.Cycle, err = forecast.ComputeCycle(ctx, a.Build, speed); err != nil || !against || a.Baseline.Name == a.Build.Name {
		return c, err
	}
	if c.Before, err = forecast.ComputeCycle(ctx, a.Baseline, speed); err != nil {
		if !errors.Is(err, forecast.ErrNoCurve) {
			return nil, err
		}
		c.BeforeWhy = err.Error()
	}
	return c, nil
}

// Cycle computes one cycle of an answer's builds at an engine speed [rpm]; 0 takes that of the torque's peak, as far as the workshop
// file has the curve, or else a usual one. The speeds of the curve's peaks are given beside, 0 for none.
func (w *Workshop) Cycle(ctx context.Context, a *Answer, program string, speed float64) (c *CycleAnswer, torque, power float64, err error) {
	k, _, err := w.CurveKept(ctx, a, program)
	if err != nil {
		return nil, 0, 0, err
	}
	if k.Curve != nil {
		if speed == 0 {
			speed = k.Curve.Torque.Speed
		}
		if k.Curve.Torque.Known() {
			torque = k.Curve.Torque.Speed
		}
		if k.Curve.Power.Known() {
			power = k.Curve.Power.Speed
		}
	}
	if speed == 0 {
		speed = usualSpeed * k.Redline
	}
	c, err = a.Cycle(ctx, speed, true)
	return c, torque, power, err
}

// usualSpeed is the engine speed that is looked at before the curve is known, as a share of the redline.
const usualSpeed = 0.6

// sureWave is how far a pressure in a pipe may be off [bar]: twice the worst root mean square against the measured motored single
// of docs/theory/engine.md. A wave smaller than that is not told from none.
const sureWave = 0.026

// muchBack is the share of a filling from which on gas pushed back is worth a change [-].
const muchBack = 0.05

// Lead says what the pipes do for the filling at this speed, what to try, and how sure that is.
func (c *CycleAnswer) Lead() string {
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
		quantity.Capital(theBuild(c.Build)), k.Speed, advice, push, pull, 100*k.BackFlow, sureWave)
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

func cycleRow(k *forecast.Cycle, i int) []float64 {
	in := k.Intake[i]
	return []float64{k.Angle[i], k.Pressure[i], k.Volume[i], k.Temperature[i], k.Ahead[i], k.Behind[i], k.LiftIn[i], k.LiftOut[i], k.FlowIn[i], k.FlowOut[i], in[len(in)-1], k.Exhaust[i][0]}
}

// WriteCSV writes one line for each sample of each build.
func (c *CycleAnswer) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(append([]string{"build", "speed_rpm"}, cycleHeads...)); err != nil {
		return err
	}
	for _, k := range c.both() {
		for i := range k.Angle {
			row := []string{k.name, strconv.FormatFloat(k.Speed, 'f', 0, 64)}
			for _, v := range cycleRow(k.Cycle, i) {
				text := strconv.FormatFloat(v, 'f', 4, 64)
				if math.IsNaN(v) { // no flame
					text = ""
				}
				row = append(row, text)
			}
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

type named struct {
	name string
	*forecast.Cycle
}

func (c *CycleAnswer) both() []named {
	list := []named{{c.Build, c.Cycle}}
	if c.Before != nil {
		list = append(list, named{c.Against, c.Before})
	}
	return list
}

type cycleJSON struct {
	Program     string      `json:"program,omitempty"`
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

func cycleOut(name string, k *forecast.Cycle) *cycleJSON {
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

// WriteJSON writes the cycle as one JSON object, the baseline's inside it.
func (c *CycleAnswer) WriteJSON(w io.Writer, program string) error {
	out := cycleOut(c.Build, c.Cycle)
	out.Program, out.Lead = program, c.Lead()
	if c.Before != nil {
		out.Against = cycleOut(c.Against, c.Before)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

// tableTurn is how far apart the lines of the printed table are [deg].
const tableTurn = 30.0

// WriteText prints the lead and a line for every thirty degrees.
func (c *CycleAnswer) WriteText(w io.Writer) error {
	if err := report.WriteParagraph(w, c.Lead()); err != nil {
		return err
	}
	if c.BeforeWhy != "" {
		if err := report.WriteParagraph(w, c.Against+": "+c.BeforeWhy); err != nil {
			return err
		}
	}
	lift := quantity.MustUnit("mm").In(c.System)
	places := 1
	if c.System == quantity.US {
		places = 3
	}
	rows := [][]string{{"degrees", "cylinder, bar", "°C", "intake lift, " + lift.Label(), "exhaust lift", "in, g/s", "out, g/s", "at intake valve, bar", "at exhaust valve"}}
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
		rows = append(rows, []string{quantity.Number(a, 0), quantity.Number(v[1], 2), quantity.Number(celsius(v[3]), 0), long(v[6]), long(v[7]), quantity.Number(v[8], 1), quantity.Number(v[9], 1), quantity.Number(v[10], 2), quantity.Number(v[11], 2)})
	}
	if err := report.WriteColumns(w, rows); err != nil {
		return err
	}
	return report.WriteParagraph(w, c.Flame())
}

// celsius is a temperature [C] of one in K.
func celsius(kelvin float64) float64 { return quantity.MustUnit("C").FromSI(kelvin) }

// Flame says how hot the gas becomes on both sides of the flame, and what goes past the rings.
func (c *CycleAnswer) Flame() string {
	k := c.Cycle
	return fmt.Sprintf("The mixture ahead of the flame reaches %s °C before the last of it burns, the gas behind it %s °C; %s %% of what came in goes past the rings (usual gaps; half or twice as much is as likely).",
		quantity.Number(celsius(k.EndGas), 0), quantity.Number(celsius(k.Flame), 0), quantity.Number(100*k.Past, 1))
}

// Temperatures is the chart of the cylinder's gas, of all of it and on both sides of the flame, while the valves are shut.
func (c *CycleAnswer) Temperatures() report.Chart {
	k := c.Cycle
	line := func(name string, list []float64) report.ChartLine {
		l := report.ChartLine{Name: name}
		for i, a := range k.Angle {
			if a >= 270 && a <= 510 {
				l.X, l.Y = append(l.X, a), append(l.Y, celsius(list[i]))
			}
		}
		return l
	}
	return report.Chart{Title: "Temperature in the cylinder", XLabel: "degrees after top dead centre of the overlap", YLabel: "temperature, °C", XStep: 30, Lines: []report.ChartLine{line("behind the flame", k.Behind), line("ahead of it", k.Ahead), line("mean", k.Temperature)}}
}

// Pressures is the chart of the pressures about the valves against the crank's angle: those above a few bar are left out, so that
// the gas exchange is seen.
func (c *CycleAnswer) Pressures() report.Chart {
	const top = 2.5 // [bar]
	k := c.Cycle
	line := func(name string, at func(i int) float64) report.ChartLine {
		l := report.ChartLine{Name: name, X: k.Angle}
		for i := range k.Angle {
			v := at(i)
			if v > top {
				v = math.NaN()
			}
			l.Y = append(l.Y, v)
		}
		return l
	}
	return report.Chart{Title: "Pressures at the valves against crank angle", XLabel: "degrees after top dead centre of the overlap", YLabel: "pressure at the valves, bar", XStep: 90, Lines: []report.ChartLine{
		line("exhaust", func(i int) float64 { return k.Exhaust[i][0] }),
		line("intake", func(i int) float64 { return k.Intake[i][len(k.Intake[i])-1] }),
		line("cylinder", func(i int) float64 { return k.Pressure[i] }),
	}}
}

// Loop is the chart of pressure against volume, both builds.
func (c *CycleAnswer) Loop() report.Chart {
	chart := report.Chart{Title: "Cylinder pressure against volume", XLabel: "volume, cm³", YLabel: "cylinder pressure, bar"}
	list := c.both()
	for i := len(list) - 1; i >= 0; i-- {
		chart.Lines = append(chart.Lines, report.ChartLine{Name: list[i].name, X: list[i].Volume, Y: list[i].Pressure, Closed: true})
	}
	return chart
}

// Firing is the chart of cylinder pressure against the crank's angle, both builds.
func (c *CycleAnswer) Firing() report.Chart {
	return c.chart("Cylinder pressure against crank angle", "cylinder pressure, bar", func(k *forecast.Cycle) []float64 { return k.Pressure })
}

// Filling is the chart of the flow through the intake valves, both builds.
func (c *CycleAnswer) Filling() report.Chart {
	return c.chart("Flow through the intake valves", "into the cylinder, g/s", func(k *forecast.Cycle) []float64 { return k.FlowIn })
}

// Emptying is the chart of the flow through the exhaust valves, both builds.
func (c *CycleAnswer) Emptying() report.Chart {
	return c.chart("Flow through the exhaust valves", "out of the cylinder, g/s", func(k *forecast.Cycle) []float64 { return k.FlowOut })
}

func (c *CycleAnswer) chart(title, label string, of func(*forecast.Cycle) []float64) report.Chart {
	chart := report.Chart{Title: title, XLabel: "degrees after top dead centre of the overlap", YLabel: label, XStep: 90}
	list := c.both()
	for i := len(list) - 1; i >= 0; i-- {
		chart.Lines = append(chart.Lines, report.ChartLine{Name: list[i].name, X: list[i].Angle, Y: of(list[i].Cycle)})
	}
	return chart
}

// Lifts is the chart of the valves' lift.
func (c *CycleAnswer) Lifts() report.Chart {
	k, to := c.Cycle, quantity.MustUnit("mm").In(c.System)
	line := func(name string, list []float64) report.ChartLine {
		l := report.ChartLine{Name: name, X: k.Angle}
		for _, v := range list {
			l.Y = append(l.Y, to.FromSI(quantity.MustUnit("mm").ToSI(v)))
		}
		return l
	}
	return report.Chart{Title: "Valve lift", XLabel: "degrees after top dead centre of the overlap", YLabel: "valve lift, " + to.Label(), XStep: 90, Lines: []report.ChartLine{line("exhaust", k.LiftOut), line("intake", k.LiftIn)}}
}

// Waves are the pictures of the pressure along intake and exhaust, each from the valve outwards.
func (c *CycleAnswer) Waves() []report.Waves {
	k := c.Cycle
	from := make([][]float64, len(k.Intake))
	for i, row := range k.Intake {
		for j := len(row) - 1; j >= 0; j-- {
			from[i] = append(from[i], row[j])
		}
	}
	return []report.Waves{
		{Title: "Pressure along the intake", Angle: k.Angle, Pressure: from, Ambient: k.Ambient, Long: k.IntakeLong, Open: k.LiftIn, System: c.System},
		{Title: "Pressure along the exhaust", Angle: k.Angle, Pressure: k.Exhaust, Ambient: k.Ambient, Long: k.ExhaustLong, Open: k.LiftOut, System: c.System},
	}
}

// Moving is what a page wants to let the waves run: every couple of degrees, pressures along the whole way in thousandths of a bar.
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
func (c *CycleAnswer) Moving() Moving {
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
func (c *CycleAnswer) SpeedText() string { return quantity.Number(c.Cycle.Speed, 0) }

// SpeedChoice is an engine speed that a page offers.
type SpeedChoice struct {
	Name  string
	Speed float64 // [rpm]
}

// nextSpeed is how far a page's next engine speed is [rpm].
const nextSpeed = 500.0

// OtherSpeeds are the speeds to look at from here: those of the peaks [rpm], as far as they are known, and the next ones.
func (c *CycleAnswer) OtherSpeeds(torque, power float64) []SpeedChoice {
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
