package app

import (
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/sync/errgroup"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
	"shakedown/report"
)

// Worth is what a part gives for its money on this course: alone with what it needs, laid over the baseline.
type Worth struct {
	Part    string
	Name    string
	With    []string     // pulled in because it needs them
	Cost    money.Amount // of all of these
	Seconds float64      // [s] a lap that it gains; below zero it loses
	Low     float64      // [s]
	High    float64      // [s]
	Why     string       // it cannot be said
}

// Inside says that what it gains is inside its range: it holds nothing, or what no watch tells from it.
func (w Worth) Inside() bool { return w.Low <= unseen && w.High >= -unseen }

// PerHundred is what it gains for a hundred of the currency [s]; 0 for a part without a price.
func (w Worth) PerHundred() float64 {
	if w.Cost.Minor <= 0 {
		return 0
	}
	return w.Seconds / (float64(w.Cost.Minor) / math.Pow10(money.Digits(w.Cost.Currency)) / 100)
}

// ValueAnswer is what the parts of a sheet are worth on its course.
type ValueAnswer struct {
	Against string
	Base    float64 // [s] the baseline's lap
	Parts   []Worth // those that the lap sees, the best for its money first
	Apart   []string
	Order   []Bought // what to buy under the budget, first to last; empty without one
	Budget  money.Amount
	Whole   *Worth // the question's build against the baseline
	Measure string // the input that makes most of the best part's range
	StandIns
	System quantity.System
}

// Bought is a part in the order of buying.
type Bought struct {
	Worth         // beside all that is bought before it
	Lap   float64 // [s] with it
	Spent money.Amount
}

// Value finds what each part of the question's sheet is worth on its course, over the baseline, and, under a budget above zero, in which
// order to buy. The error is an Input, or that of a lap or a curve that cannot be computed.
func Value(ctx context.Context, q Question, budget string, curves *Curves, done func(ready, total int)) (*ValueAnswer, error) {
	a, err := Ask(q)
	if err != nil {
		return nil, err
	}
	return a.Value(ctx, budget, curves.compute, done)
}

// Value finds what each part of the answer's sheet is worth; see the function Value.
func (a *Answer) Value(ctx context.Context, budget string, curve curveSource, done func(ready, total int)) (*ValueAnswer, error) {
	v := &ValueAnswer{}
	if budget != "" {
		if err := a.ReadBudget(budget); err != nil {
			return nil, err
		}
		v.Budget, _ = money.Parse(budget, a.Sheet.Project.Currency) // it was read just now
	}
	return v, a.value(ctx, v, curve, done)
}

// ReadBudget says whether a person's words are a sum in the sheet's currency. The error is an Input.
func (a *Answer) ReadBudget(text string) error {
	sum, err := money.Parse(text, a.Sheet.Project.Currency)
	if err == nil && sum.Minor <= 0 {
		err = fmt.Errorf("%s buys nothing", sum)
	}
	if err != nil {
		return InputError(fmt.Errorf("the budget: %w; write it in the sheet's currency, such as 500", err))
	}
	return nil
}

// tried is a build made for trying: the baseline with some parts.
type tried struct {
	build *machine.Build
	curve *forecast.TorqueCurve
}

// valuer tries builds over the baseline.
type valuer struct {
	a     *Answer
	base  tried
	refs  []machine.Reference // of the baseline
	laps  *forecast.LapTimes
	curve curveSource
}

// candidate is a part that may be bought.
type candidate struct {
	part  *machine.Part
	ref   machine.Reference
	t     tried
	worth Worth
	f     figure.Figure
}

// try is the baseline with more parts, and its curve.
func (v *valuer) try(ctx context.Context, parts []machine.Reference) (tried, error) {
	b, err := resolveParts(v.a.Sheet.Project, append(slices.Clone(v.refs), parts...))
	if err != nil {
		return tried{}, err
	}
	k, err := v.curve(ctx, b)
	return tried{b, k}, err
}

// cost is what a build costs above another.
func (v *valuer) cost(b, over *machine.Build) money.Amount {
	sum := money.Amount{Currency: v.a.Sheet.Project.Currency}
	for _, p := range b.Parts {
		if p.Priced && !over.Has(p.ID) {
			sum.Minor += p.Price
		}
	}
	return sum
}

// worth compares a build with one that it grew from.
func (v *valuer) worth(ctx context.Context, t, over tried) (w Worth, f figure.Figure, err error) {
	f, err = v.laps.Of(ctx, forecast.Racer{Build: t.build, Curve: t.curve}, forecast.Racer{Build: over.build, Curve: over.curve})
	if err != nil {
		return w, f, err
	}
	if f.State != figure.Ready {
		w.Why = f.Why
		return w, f, nil
	}
	if c := f.Change; c != nil {
		w.Seconds, w.Low, w.High = -c.Value, -c.High, -c.Low
	}
	w.Cost = v.cost(t.build, over.build)
	return w, f, nil
}

func (a *Answer) value(ctx context.Context, out *ValueAnswer, curve curveSource, done func(ready, total int)) error {
	if err := a.along().err; err != nil {
		return err
	}
	curve, out.Template = a.onCourse(curve)
	v := &valuer{a: a, refs: listNamed(a.Sheet.Project, a.Baseline.Name).Parts, curve: curve}
	out.Against, out.System = a.Baseline.Name, a.System
	var err error
	if v.base, err = v.try(ctx, nil); err != nil {
		return err
	}
	v.laps = forecast.NewLapTimes(a.along().ride, torqueDoubt(v.base.curve), usualChange)
	if base, err := forecast.ComputeLap(v.base.build, v.base.curve, a.along().ride); err != nil {
		return err
	} else {
		out.Base, out.Assumed = base.Time, base.Assumed
	}
	var list []*candidate
	for i := range a.Sheet.Project.Parts {
		if p := &a.Sheet.Project.Parts[i]; !a.Baseline.Has(p.ID) {
			list = append(list, &candidate{part: p, ref: machine.Reference{Name: p.ID, Origin: p.Origin}})
		}
	}
	total, ready := 2*len(list), 0
	tell := func() {
		ready++
		if done != nil {
			done(ready, total)
		}
	}
	for _, c := range list { // a curve takes all processors
		if c.t, err = v.try(ctx, []machine.Reference{c.ref}); err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			c.worth.Why = err.Error()
		}
		tell()
	}
	told := make(chan struct{})
	go func() {
		for range told {
			tell()
		}
	}()
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for _, c := range list {
		work.Go(func() error {
			if c.worth.Why == "" {
				var err error
				if c.worth, c.f, err = v.worth(each, c.t, v.base); err != nil {
					return err
				}
			}
			told <- struct{}{}
			return nil
		})
	}
	err = work.Wait()
	close(told)
	if err != nil {
		return err
	}
	var seen []*candidate
	for _, c := range list {
		c.worth.Part, c.worth.Name = c.part.ID, c.part.Name
		if c.t.build != nil {
			c.worth.With = newIn(c.t.build, a.Baseline, c.part.ID)
		}
		if c.worth.Why == "" && math.Abs(c.worth.Seconds) < unseen {
			out.Apart = append(out.Apart, c.part.Name)
			continue
		}
		seen = append(seen, c)
	}
	slices.SortStableFunc(seen, func(a, b *candidate) int {
		if d := cmp.Compare(b.worth.PerHundred(), a.worth.PerHundred()); d != 0 {
			return d
		}
		return cmp.Compare(b.worth.Seconds, a.worth.Seconds)
	})
	for _, c := range seen {
		out.Parts = append(out.Parts, c.worth)
	}
	if len(seen) > 0 {
		out.Measure = measureFor(seen)
	}
	if a.Build.Name != a.Baseline.Name {
		k, err := curve(ctx, a.Build)
		if err != nil && !errors.Is(err, forecast.ErrNoCurve) {
			return err
		}
		if err == nil {
			w, _, err := v.worth(ctx, tried{a.Build, k}, v.base)
			if err != nil {
				return err
			}
			w.Part, w.Name = a.Build.Name, a.Build.Name
			out.Whole = &w
		}
	}
	return v.order(ctx, out, seen)
}

// unseen is a gain that no lap sees [s].
const unseen = 0.005

// measureFor is the input that makes most of the range of the first part that the advice is about.
func measureFor(seen []*candidate) string {
	for _, c := range seen {
		if change := c.f.Change; c.worth.Why == "" && change != nil && (!c.worth.Inside() && c.worth.Seconds > 0 || c == seen[len(seen)-1]) {
			return change.Most
		}
	}
	return ""
}

// order finds what to buy under the budget, first to last: always the best for its money beside what is bought already. What a part
// gave the last time it was tried is taken as the most that it will give, so that few are tried again.
func (v *valuer) order(ctx context.Context, out *ValueAnswer, seen []*candidate) error {
	type hope struct {
		*candidate
		rate  float64
		after int // how many were bought when it was tried
	}
	var hopes []*hope
	for _, c := range seen {
		if out.Budget.Minor > 0 && c.worth.Why == "" && c.worth.Seconds > 0 {
			hopes = append(hopes, &hope{c, rate(c.worth), 0})
		}
	}
	now, spent, lap := v.base, int64(0), out.Base
	var bought []machine.Reference
	for len(hopes) > 0 {
		slices.SortStableFunc(hopes, func(a, b *hope) int { return cmp.Compare(b.rate, a.rate) })
		h := hopes[0]
		if h.after < len(bought) && !now.build.Has(h.part.ID) {
			t, err := v.try(ctx, append(slices.Clone(bought), h.ref))
			var l *forecast.LapResult
			if err == nil {
				l, err = forecast.ComputeLap(t.build, t.curve, v.a.along().ride)
			}
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if err == nil {
				h.t, h.after, h.rate = t, len(bought), rate(Worth{Seconds: lap - l.Time, Cost: v.cost(t.build, now.build)})
				continue
			}
			h.rate = math.Inf(-1) // it does not go with what is bought
		}
		hopes = hopes[1:]
		cost := v.cost(h.t.build, now.build)
		if now.build.Has(h.part.ID) || !(h.rate > 0) || spent+cost.Minor > out.Budget.Minor {
			continue
		}
		w, _, err := v.worth(ctx, h.t, now)
		if err != nil {
			return err
		}
		w.Part, w.Name, w.With = h.part.ID, h.part.Name, newIn(h.t.build, now.build, h.part.ID)
		spent += w.Cost.Minor
		lap -= w.Seconds
		bought, now = append(bought, h.ref), h.t
		out.Order = append(out.Order, Bought{w, lap, money.Amount{Minor: spent, Currency: out.Budget.Currency}})
	}
	return nil
}

// newIn are the parts that a build has and another has not, but for one.
func newIn(b, other *machine.Build, but string) (list []string) {
	for _, p := range b.Parts {
		if p.ID != but && !other.Has(p.ID) {
			list = append(list, p.ID)
		}
	}
	return list
}

// rate is what a part gains for its money; one that costs nothing comes first.
func rate(w Worth) float64 {
	if w.Cost.Minor <= 0 {
		return math.Copysign(math.Inf(1), w.Seconds)
	}
	return w.PerHundred()
}

// Exit is the exit code.
func (v *ValueAnswer) Exit() int { return Fine }

// Lead says what to buy next.
func (v *ValueAnswer) Lead() string {
	tail := v.words()
	tail += " The lap is that of one line and a rider who uses all there is: it ranks, it does not promise."
	if v.Measure != "" {
		tail = fmt.Sprintf(" Measure %s before you pay: it would change this most.", v.Measure) + tail
	}
	for _, w := range v.Parts {
		if w.Why != "" || w.Inside() || w.Seconds <= 0 {
			continue
		}
		with := ""
		if len(w.With) > 0 {
			with = ", with " + strings.Join(w.With, ", ")
		}
		price := "without a price"
		if w.Cost.Minor > 0 {
			price = "for " + w.Cost.String()
		}
		text := fmt.Sprintf("Buy %s (%s%s) next: %s it takes %s s off the lap of %s s (%s to %s)", w.Name, w.Part, with, price, quantity.Number(w.Seconds, 2), quantity.Number(v.Base, 1), quantity.Number(w.Low, 2), quantity.Number(w.High, 2))
		if w.Cost.Minor > 0 {
			text += ", the most for its money of those that are surely quicker"
		}
		return text + "." + tail
	}
	if len(v.Parts)+len(v.Apart) == 0 {
		return "This sheet offers no part that is not fitted already: add parts with their prices, and each is ridden."
	}
	if len(v.Parts) == 0 {
		return "No part of this sheet moves the lap time: what it offers is for safety, reliability, comfort or class." + tail
	}
	return "No part alone is surely quicker on this course: each gain is inside its range." + tail
}

// Heads are the columns of the parts.
func (v *ValueAnswer) Heads() []string {
	return []string{"part", "s a lap", "range", "costs", "s per 100", "with"}
}

// Rows are the parts as people read them.
func (v *ValueAnswer) Rows() [][]string {
	var rows [][]string
	for _, w := range v.Parts {
		rows = append(rows, append([]string{w.Part}, v.cells(w)...))
	}
	return rows
}

func (v *ValueAnswer) cells(w Worth) []string {
	if w.Why != "" {
		return []string{"?", "", w.Cost.String(), "", "cannot be said: " + w.Why}
	}
	each := "-"
	if w.Cost.Minor > 0 {
		each = signedNumber(w.PerHundred(), 2)
	}
	between := fmt.Sprintf("%s to %s", signedNumber(w.Low, 2), signedNumber(w.High, 2))
	if w.Inside() {
		between += ", inside"
	}
	return []string{signedNumber(w.Seconds, 2), between, w.Cost.String(), each, strings.Join(w.With, ", ")}
}

// OrderRows are the order of buying as people read it.
func (v *ValueAnswer) OrderRows() [][]string {
	var rows [][]string
	for i, b := range v.Order {
		cells := v.cells(b.Worth)
		rows = append(rows, []string{fmt.Sprint(i + 1), b.Part, cells[0], cells[1], cells[2], b.Spent.String(), quantity.Number(b.Lap, 2), cells[4]})
	}
	return rows
}

// OrderHeads are the columns of the order of buying.
func (v *ValueAnswer) OrderHeads() []string {
	return []string{"", "part", "s a lap", "range", "costs", "spent", "lap, s", "with"}
}

// WriteText prints the parts and the order of buying.
func (v *ValueAnswer) WriteText(w io.Writer) error {
	if err := report.WriteParagraph(w, v.Lead()); err != nil {
		return err
	}
	if len(v.Parts) > 0 {
		if err := report.WriteColumns(w, append([][]string{v.Heads()}, v.Rows()...)); err != nil {
			return err
		}
	}
	for _, note := range v.Notes() {
		if err := report.WriteParagraph(w, note); err != nil {
			return err
		}
	}
	if v.Budget.Minor <= 0 {
		return nil
	}
	if err := report.WriteParagraph(w, v.OrderLead()); err != nil || len(v.Order) == 0 {
		return err
	}
	return report.WriteColumns(w, append([][]string{v.OrderHeads()}, v.OrderRows()...))
}

// OrderLead says what the order of buying comes to.
func (v *ValueAnswer) OrderLead() string {
	if len(v.Order) == 0 {
		return fmt.Sprintf("Nothing for %s makes this machine quicker on this course.", v.Budget)
	}
	last := v.Order[len(v.Order)-1]
	return fmt.Sprintf("With %s, in this order: %s s in place of %s, for %s. Each gain is beside what is bought before it.", v.Budget, quantity.Number(last.Lap, 2), quantity.Number(v.Base, 2), last.Spent)
}

// Notes are what stands beside the ranking.
func (v *ValueAnswer) Notes() []string {
	var list []string
	if w := v.Whole; w != nil && w.Why == "" {
		sum := 0.0
		for _, p := range v.Parts {
			if p.Why == "" {
				sum += p.Seconds
			}
		}
		list = append(list, fmt.Sprintf("All of %s together: %s s a lap (%s to %s) for %s. The parts of this list one by one, laid over %s, would add up to %s.", w.Name, signedNumber(w.Seconds, 2), signedNumber(w.Low, 2), signedNumber(w.High, 2), w.Cost, v.Against, signedNumber(sum, 2)))
	}
	if len(v.Apart) > 0 {
		list = append(list, "Not ranked, because they move the lap by less than a hundredth; they are for safety, reliability, comfort, class, or what another part needs: "+strings.Join(v.Apart, "; ")+".")
	}
	return list
}

// WriteCSV writes a line for each part that the lap sees, then one for each that is bought, in order.
func (v *ValueAnswer) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"bought", "part", "seconds", "low", "high", "price_minor", "currency", "per_100", "with", "why"}}
	number := func(s float64) string { return strconv.FormatFloat(s, 'f', 4, 64) }
	row := func(bought string, p Worth) {
		rows = append(rows, []string{bought, p.Part, number(p.Seconds), number(p.Low), number(p.High), strconv.FormatInt(p.Cost.Minor, 10), p.Cost.Currency, number(p.PerHundred()), strings.Join(p.With, " "), p.Why})
	}
	for _, p := range v.Parts {
		row("", p)
	}
	for i, b := range v.Order {
		row(strconv.Itoa(i+1), b.Worth)
	}
	return out.WriteAll(rows)
}

type valueJSON struct {
	Program string      `json:"program"`
	Against string      `json:"against"`
	Advice  string      `json:"advice"`
	Base    float64     `json:"lap_time_s"` // [s]
	Parts   []worthJSON `json:"parts"`
	Apart   []string    `json:"not_ranked,omitempty"`
	Whole   *worthJSON  `json:"together,omitempty"`
	Order   []worthJSON `json:"order,omitempty"`
}

type worthJSON struct {
	Part    string   `json:"part"`
	With    []string `json:"with,omitempty"`
	Seconds float64  `json:"seconds"` // [s] gained
	Low     float64  `json:"low"`     // [s]
	High    float64  `json:"high"`    // [s]
	Inside  bool     `json:"inside_range"`
	Price   int64    `json:"price_minor"`
	Per100  float64  `json:"per_100"`              // [s]
	Lap     float64  `json:"lap_time_s,omitempty"` // [s]
	Why     string   `json:"why,omitempty"`
}

func worthOut(w Worth) worthJSON {
	return worthJSON{w.Part, w.With, w.Seconds, w.Low, w.High, w.Inside(), w.Cost.Minor, w.PerHundred(), 0, w.Why}
}

// WriteJSON writes all of it as one JSON object.
func (v *ValueAnswer) WriteJSON(w io.Writer, program string) error {
	out := valueJSON{Program: program, Against: v.Against, Advice: v.Lead(), Base: v.Base, Parts: []worthJSON{}, Apart: v.Apart}
	for _, p := range v.Parts {
		out.Parts = append(out.Parts, worthOut(p))
	}
	if v.Whole != nil {
		whole := worthOut(*v.Whole)
		out.Whole = &whole
	}
	for _, b := range v.Order {
		one := worthOut(b.Worth)
		one.Lap = b.Lap
		out.Order = append(out.Order, one)
	}
	return writeJSON(w, out)
}

// Gains is the chart of what the parts are worth.
func (v *ValueAnswer) Gains() report.Gains {
	g := report.Gains{Title: "What each part gains on this course", Label: "s a lap gained, with 95 % range; filled: surely not nothing"}
	for _, w := range v.Parts {
		if w.Why == "" {
			g.List = append(g.List, report.Gain{Name: w.Part, Value: w.Seconds, Low: w.Low, High: w.High, Sure: !w.Inside()})
		}
	}
	return g
}
