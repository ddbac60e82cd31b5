package asked

import (
	"encoding/json"
	"io"
	"time"

	"shakedown/check"
	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// The JSON of an answer: snake_case, SI values with the unit beside them. Accelerations in g carry the unit g0, money
// whole minor units of the currency.

type answerJSON struct {
	Program  string        `json:"program"`
	Sheet    string        `json:"sheet"`
	Title    string        `json:"title"`
	Build    string        `json:"build"`
	Against  string        `json:"against"`
	Advice   AdviceJSON    `json:"advice"`
	Currency string        `json:"currency"`
	Today    string        `json:"today"`
	Figures  []FigureJSON  `json:"figures"`
	Findings []findingJSON `json:"findings"`
	Claims   []claimJSON   `json:"claims"`
	Lap      *riddenJSON   `json:"lap,omitempty"`
	Plan     planJSON      `json:"plan"`
	Typical  []string      `json:"typical"`
	Measure  []measureJSON `json:"measure"`
}

// FigureJSON is a figure as programs read it.
type FigureJSON struct {
	ID     string      `json:"id"`
	Title  string      `json:"title"`
	Value  *float64    `json:"value"`
	Unit   string      `json:"unit"`
	Low    *float64    `json:"low"`
	High   *float64    `json:"high"`
	Change *ChangeJSON `json:"change"`
	State  string      `json:"state"`
	Why    string      `json:"why,omitempty"`
	End    string      `json:"cut_off,omitempty"`     // "topped out" or "at its stop": neither value nor range is exact there
	Narrow []string    `json:"range_lacks,omitempty"` // what the range leaves out
	Basis  basisJSON   `json:"basis"`
}

// ChangeJSON is a change as programs read it.
type ChangeJSON struct {
	Value  float64 `json:"value"` // [unit of the figure]
	Low    float64 `json:"low"`   // [unit of the figure]
	High   float64 `json:"high"`  // [unit of the figure]
	Inside bool    `json:"inside_range"`
}

type basisJSON struct {
	Formula    string      `json:"formula"`
	Source     string      `json:"source"`
	Theory     string      `json:"theory"`
	ModelError float64     `json:"model_error"` // [-] share of the value
	ModelNote  string      `json:"model_note"`
	Sampled    bool        `json:"sampled"`
	Inputs     []inputJSON `json:"inputs"`
}

type inputJSON struct {
	Path  string   `json:"path"`
	Value *float64 `json:"value"`
	Text  string   `json:"text,omitempty"`
	Unit  string   `json:"unit"`
	Half  float64  `json:"half_width"` // [unit]
	Known string   `json:"known"`
	SetBy string   `json:"set_by"`
	File  string   `json:"file,omitempty"`
	Line  int      `json:"line,omitempty"`
	Share float64  `json:"share_of_range"` // [-]
}

type findingJSON struct {
	Rule     string   `json:"rule"`
	Severity string   `json:"severity"`
	Text     string   `json:"text"`
	Remedy   string   `json:"remedy"`
	Basis    string   `json:"basis"`
	Where    []string `json:"where"`
	Lines    []string `json:"lines,omitempty"`
}

type claimJSON struct {
	Part   string `json:"part"`
	Says   string `json:"says"`
	Of     string `json:"of"`
	Judged bool   `json:"judged"`
	Holds  bool   `json:"holds"`
	Text   string `json:"text"`

	State  string   `json:"state"`            // holds, inside, fails, waiting or cannot
	Value  *float64 `json:"value,omitempty"`  // [unit]; a claim has one of value, factor and gain
	Factor *float64 `json:"factor,omitempty"` // [-] over the baseline
	Gain   *float64 `json:"gain,omitempty"`   // [unit] over the baseline
	Unit   string   `json:"unit,omitempty"`   // SI, of a value or a gain
	Where  string   `json:"where,omitempty"`  // crank or rear wheel, where the maker says so
	With   []string `json:"with,omitempty"`   // parts that were fitted too
}

type planJSON struct {
	Ready   string     `json:"ready"`
	RaceDay string     `json:"race_day,omitempty"`
	Days    int        `json:"days"`
	Late    int        `json:"days_late"`
	Chain   []string   `json:"longest_chain"`
	Steps   []stepJSON `json:"steps"`
}

type riddenJSON struct {
	Time   float64     `json:"lap_time_s"`       // [s]
	Low    float64     `json:"low"`              // [s]
	High   float64     `json:"high"`             // [s]
	Change *ChangeJSON `json:"change,omitempty"` // [s]
}

type stepJSON struct {
	Part        string `json:"part"`
	Start       string `json:"start"`
	End         string `json:"end"`
	LatestStart string `json:"latest_start"`
	Slack       int    `json:"slack_days"`
	Critical    bool   `json:"critical"`
}

type measureJSON struct {
	Path   string  `json:"path"`
	Known  string  `json:"known"`
	How    string  `json:"how"`
	Figure string  `json:"figure"`
	From   float64 `json:"range_now"`      // [-] half-width over value
	To     float64 `json:"range_measured"` // [-] half-width over value
}

// WriteJSON writes the answer as one JSON object.
func (a *Answer) WriteJSON(w io.Writer, program string) error {
	out := answerJSON{
		Program: program, Sheet: a.Sheet.Project.File, Title: a.Sheet.Project.Title, Build: a.Build.Name, Against: a.Baseline.Name,
		Advice: AdviceOut(a.Advice), Currency: a.Cost.Currency, Today: a.Today.Format(time.DateOnly),
		Figures: []FigureJSON{}, Findings: []findingJSON{}, Claims: []claimJSON{}, Typical: []string{}, Measure: []measureJSON{},
	}
	for _, f := range a.Figures {
		out.Figures = append(out.Figures, FigureOut(f))
	}
	for _, f := range a.Findings {
		item := findingJSON{f.Rule, f.Severity.String(), f.Text, f.Remedy, f.Basis, f.Where, nil}
		if item.Where == nil {
			item.Where = []string{}
		}
		for _, o := range f.Origins {
			item.Lines = append(item.Lines, o.String())
		}
		out.Findings = append(out.Findings, item)
	}
	for _, v := range a.Verdicts {
		out.Claims = append(out.Claims, claimOut(v))
	}
	if l := a.Ridden; l != nil {
		out.Lap = &riddenJSON{Time: l.Value, Low: l.Low, High: l.High}
		if c := l.Change; c != nil {
			out.Lap.Change = ChangeOut(c)
		}
	}
	out.Plan = a.planOut()
	for _, in := range a.Typical {
		out.Typical = append(out.Typical, in.Path)
	}
	for _, m := range a.Measure {
		out.Measure = append(out.Measure, measureJSON{m.Path, m.Known.String(), m.How, m.Figure, m.From, m.To})
	}
	return WriteObject(w, out)
}

// claimOut is a claim judged as programs read it.
func claimOut(v check.Verdict) claimJSON {
	out := claimJSON{Part: v.Part, Says: v.Says, Of: v.Of, Judged: v.Judged(), Holds: v.Holds(), Text: v.Text, State: string(v.State), Where: v.Claim.At.String(), With: names(v.Claim.With)}
	switch v.Claim.Kind {
	case machine.ClaimFactor:
		out.Factor = &v.Claim.Number
		return out
	case machine.ClaimGain:
		out.Gain = &v.Claim.Number
	default:
		out.Value = &v.Claim.Number
	}
	if q, err := quantity.ParseAny(v.Claim.Text); err == nil {
		out.Unit = q.Kind.SI()
	}
	return out
}

// ChangeOut is a change as programs read it.
func ChangeOut(c *figure.Change) *ChangeJSON {
	return &ChangeJSON{c.Value, c.Low, c.High, c.Inside()}
}

// FigureOut is a figure as programs read it.
func FigureOut(f figure.Figure) FigureJSON {
	out := FigureJSON{
		ID: f.ID, Title: f.Title, Unit: f.Unit.Kind.SI(), State: string(f.State), Why: f.Why, End: f.End, Narrow: f.Narrow,
		Basis: basisJSON{f.Basis.Formula, f.Basis.Source, f.Basis.Theory, f.Basis.ModelError, f.Basis.ModelNote, f.Basis.Sampled, []inputJSON{}},
	}
	if f.State == figure.Ready {
		out.Value, out.Low, out.High = &f.Value, &f.Low, &f.High
	}
	if f.Change != nil {
		out.Change = ChangeOut(f.Change)
	}
	for _, in := range f.Basis.Inputs {
		item := inputJSON{Path: in.Path, Unit: in.Kind.SI(), Half: in.Half, Known: in.Known.String(), SetBy: in.Origin.Part, File: in.Origin.File, Line: in.Origin.Line, Share: in.Share}
		if in.Word {
			item.Text, item.Unit = in.Text, ""
		} else {
			item.Value = &in.Value
		}
		if item.SetBy == "" {
			item.SetBy = "machine"
			if in.Origin.Line == 0 {
				item.SetBy = "template"
			}
		}
		out.Basis.Inputs = append(out.Basis.Inputs, item)
	}
	return out
}

func (a *Answer) planOut() planJSON {
	out := planJSON{Ready: a.Plan.Ready.Format(time.DateOnly), Days: a.Plan.Days, Late: a.Plan.Late, Chain: a.Plan.Chain, Steps: []stepJSON{}}
	if out.Chain == nil {
		out.Chain = []string{}
	}
	if race := a.Sheet.Project.RaceDay; !race.IsZero() {
		out.RaceDay = race.Format(time.DateOnly)
	}
	for _, s := range a.Plan.Steps {
		out.Steps = append(out.Steps, stepJSON{s.ID, s.Start.Format(time.DateOnly), s.End.Format(time.DateOnly), s.LatestStart.Format(time.DateOnly), s.Slack, s.Critical})
	}
	return out
}

// WriteObject writes one object as programs read it.
func WriteObject(w io.Writer, object any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(object)
}
