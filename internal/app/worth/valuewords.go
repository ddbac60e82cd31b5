package worth

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Answer is what is said of it: what was ridden, what each part gives for its money, what has no price, the packages,
// and the order of buying.
func (v *Value) Answer() report.Answer {
	out := report.Answer{Advice: v.Advice.Text, Lead: v.lead(), Care: v.Care, Object: func() any { return v.object() }, Lines: v.lines}
	add := func(b report.Block) { out.Blocks = append(out.Blocks, b) }
	heads := []string{"part", "s a lap", "range", "costs", "s per 100", "with"}
	parts := report.Block{ID: "parts", Table: report.Table{Heads: heads, Rows: v.rows(v.Parts)}}
	if len(v.ridden()) > 0 {
		parts.Charts = []report.Picture{v.gains()}
	}
	add(parts)
	if len(v.NoPrice) > 0 {
		add(report.Block{ID: "no-price", Words: "No price: what these cost is not known, so they are neither ranked for their money nor bought under a budget. Write their prices, and they are.",
			Table: report.Table{Heads: append([]string{"no price"}, heads[1:]...), Rows: v.rows(v.NoPrice)}})
	}
	if len(v.Packages) > 0 {
		words := fmt.Sprintf("All that %s adds in one area of the machine, together, over %s; beside it what its parts gain one by one:", machine.TheBuild(v.Aim), machine.TheBuild(v.Against))
		table, narrow, parts := v.packages()
		add(report.Block{ID: "packages", Only: report.Page, Words: words, Table: table})
		add(report.Block{Only: report.Terminal, Words: words, Table: narrow, Notes: []string{parts}})
	}
	add(report.Block{Notes: v.notes()})
	if v.Budget.Minor > 0 {
		add(report.Block{ID: "order", Words: v.orderLead(), Table: v.order()})
	}
	return out
}

// lead says what was ridden and how far that can be trusted. It gives no advice.
func (v *Value) lead() string {
	text := v.Usual()
	switch {
	case len(v.Parts)+len(v.NoPrice)+len(v.Apart) == 0:
		return "This sheet offers no part that is not fitted already."
	case len(v.Parts)+len(v.NoPrice) == 0:
		text += fmt.Sprintf("no part on offer moves the lap of %s s: what there is, is for safety, reliability, comfort or class.", quantity.Number(v.Base, 1))
	default:
		text += fmt.Sprintf("each part with what it needs, laid over %s, which laps in %s s.", machine.TheBuild(v.Against), quantity.Number(v.Base, 1))
	}
	return report.Sentence(text) + v.Words() + " The lap is that of one line and a rider who uses all there is: it ranks, it does not promise."
}

// rows are parts as people read them.
func (v *Value) rows(list []Worth) [][]report.Cell {
	var rows [][]report.Cell
	for _, w := range list {
		rows = append(rows, report.Cells(append([]string{w.Part}, v.cells(w)...)...))
		if g := w.Geared; g != nil && w.Why == "" { // the same part once more
			with := Worth{Seconds: g.Seconds, Low: g.Low, High: g.High, Cost: w.Cost, Unpriced: w.Unpriced}
			rows = append(rows, report.Cells(append([]string{"the same"}, append(v.cells(with)[:4], g.Words+", so that the gearing stays; that sprocket is not in the price")...)...))
		}
	}
	return rows
}

// ridden are all parts that the lap sees, those without a price last.
func (v *Value) ridden() []Worth { return slices.Concat(v.Parts, v.NoPrice) }

// packages are the packages as a page shows them, and as a terminal has room for them, with their parts in a text of
// its own: names in a column make lines that no terminal holds.
func (v *Value) packages() (table, narrow report.Table, parts string) {
	table.Heads = []string{"together", "s a lap", "range", "one by one", "costs", "s per 100", "parts"}
	last := len(table.Heads) - 1
	narrow.Heads = table.Heads[:last]
	var each []string
	for _, p := range v.Packages {
		cells, sum := v.cells(p.Worth), ""
		if p.Why == "" {
			sum = quantity.Signed(p.Sum, 2)
		}
		row := report.Cells(slices.Concat([]string{p.Name, cells[0], cells[1], sum}, cells[2:])...)
		table.Rows, narrow.Rows = append(table.Rows, row), append(narrow.Rows, row[:last])
		each = append(each, p.Name+": "+row[last].Text+".")
	}
	return table, narrow, strings.Join(each, " ")
}

// CostText is the cost for people, with what of it has no price.
func (w Worth) CostText() string {
	switch {
	case len(w.Unpriced) == 0:
		return w.Cost.String()
	case w.Cost.Minor == 0:
		return "no price"
	}
	return w.Cost.String() + " without " + strings.Join(w.Unpriced, ", ")
}

// with says what comes with it and why, or why it does not go together.
func (w Worth) with() string {
	text := strings.Join(w.With, ", ")
	switch {
	case len(w.Breaks) > 0 && text != "":
		return text + "; does not go together: " + strings.Join(w.Breaks, ", ")
	case len(w.Breaks) > 0:
		return "does not go together: " + strings.Join(w.Breaks, ", ")
	case len(w.Mends) > 0 && text != "":
		return text + " (against " + strings.Join(w.Mends, ", ") + ")"
	}
	return text
}

func (v *Value) cells(w Worth) []string {
	if w.Why != "" {
		return []string{"?", "", w.CostText(), "", "cannot be said: " + w.Why}
	}
	each := "-"
	if w.Cost.Minor > 0 && len(w.Unpriced) == 0 {
		each = quantity.Signed(w.PerHundred(), 2)
	}
	between := fmt.Sprintf("%s to %s", quantity.Signed(w.Low, 2), quantity.Signed(w.High, 2))
	if w.Inside() {
		between += ", " + report.TooSmall
	}
	if len(w.Narrow) > 0 {
		between += ", too narrow"
	}
	return []string{quantity.Signed(w.Seconds, 2), between, w.CostText(), each, w.with()}
}

// order is the order of buying as people read it.
func (v *Value) order() report.Table {
	t := report.Table{Heads: []string{"", "part", "s a lap", "range", "costs", "spent", "lap, s", "with"}}
	for i, b := range v.Order {
		cells := v.cells(b.Worth)
		if b.Package {
			cells[4] = fmt.Sprintf("what is left of that package: %d parts", len(b.With))
		}
		t.Rows = append(t.Rows, report.Cells(strconv.Itoa(i+1), b.Part, cells[0], cells[1], cells[2], b.Spent.String(), quantity.Number(b.Lap, 2), cells[4]))
	}
	return t
}

// orderLead says what the order of buying comes to.
func (v *Value) orderLead() string {
	if len(v.Order) == 0 {
		return fmt.Sprintf("Nothing for %s makes this machine quicker on this course.", v.Budget)
	}
	last := v.Order[len(v.Order)-1]
	return fmt.Sprintf("With %s, in this order: %s s in place of %s, for %s. Each gain is beside what is bought before it.", v.Budget, quantity.Number(last.Lap, 2), quantity.Number(v.Base, 2), last.Spent)
}

// notes are what stands beside the ranking.
func (v *Value) notes() []string {
	var list []string
	if w := v.Whole; w != nil && w.Why == "" {
		list = append(list, fmt.Sprintf("All of %s together: %s s a lap (%s to %s) for %s. Its parts one by one, laid over %s, would add up to %s.", machine.TheBuild(w.Name), quantity.Signed(w.Seconds, 2), quantity.Signed(w.Low, 2), quantity.Signed(w.High, 2), w.CostText(), machine.TheBuild(v.Against), quantity.Signed(oneByOne(v.ridden(), w.With), 2)))
	}
	var lost []string
	for _, p := range v.Parts {
		for _, name := range p.Narrow {
			if !slices.Contains(lost, name) {
				lost = append(lost, name)
			}
		}
	}
	if narrow := figure.TooNarrow(lost); narrow != "" {
		list = append(list, `Ranges marked "too narrow": `+narrow)
	}
	if len(v.Apart) > 0 {
		list = append(list, "Not ranked, because they move the lap by less than a hundredth; they are for safety, reliability, comfort, class, or what another part needs: "+strings.Join(v.Apart, "; ")+".")
	}
	return list
}

// oneByOne is what those of a list gain that are among some parts, each for itself [s]; what another one of them brings
// along is counted with that.
func oneByOne(list []Worth, among []string) (sum float64) {
	mine := slices.DeleteFunc(slices.Clone(list), func(w Worth) bool { return w.Why != "" || !slices.Contains(among, w.Part) })
	for _, w := range mine {
		if !slices.ContainsFunc(mine, func(other Worth) bool { return slices.Contains(other.With, w.Part) }) {
			sum += w.Seconds
		}
	}
	return sum
}

// lines are a line for each part that the lap sees, then one for each without a price, then one for each package, then
// one for each that is bought, in order.
func (v *Value) lines() [][]string {
	rows := [][]string{{"kind", "bought", "part", "seconds", "low", "high", "price_minor", "currency", "per_100", "with", "mends", "breaks", "why", "without_price"}}
	number := func(s float64) string { return strconv.FormatFloat(s, 'f', 4, 64) }
	row := func(kind, bought string, p Worth) {
		price, each := strconv.FormatInt(p.Cost.Minor, 10), number(p.PerHundred())
		if len(p.Unpriced) > 0 { // a sum of some of it would be taken for the price
			price, each = "", ""
		}
		rows = append(rows, []string{kind, bought, p.Part, number(p.Seconds), number(p.Low), number(p.High), price, p.Cost.Currency, each, strings.Join(p.With, " "), strings.Join(p.Mends, " "), strings.Join(p.Breaks, " "), p.Why, strings.Join(p.Unpriced, " ")})
	}
	for _, p := range v.Parts {
		row("part", "", p)
		if g := p.Geared; g != nil {
			row("gearing brought back", "", Worth{Part: p.Part, Seconds: g.Seconds, Low: g.Low, High: g.High, Cost: p.Cost, Unpriced: p.Unpriced, With: []string{g.Words}})
		}
	}
	for _, p := range v.NoPrice {
		row("no price", "", p)
	}
	for _, p := range v.Packages {
		row("package", "", p.Worth)
	}
	for i, b := range v.Order {
		row("order", strconv.Itoa(i+1), b.Worth)
	}
	return rows
}

type valueJSON struct {
	Against string           `json:"against"`
	Advice  asked.AdviceJSON `json:"advice"`
	Base    float64          `json:"lap_time_s"` // [s]
	Parts   []worthJSON      `json:"parts"`
	NoPrice []worthJSON      `json:"no_price,omitempty"`
	Apart   []string         `json:"not_ranked,omitempty"`
	Packs   []worthJSON      `json:"packages,omitempty"`
	Whole   *worthJSON       `json:"together,omitempty"`
	Order   []worthJSON      `json:"order,omitempty"`
	Care    []string         `json:"cautions"`
}

type worthJSON struct {
	Part    string      `json:"part"`
	Package bool        `json:"package,omitempty"`
	With    []string    `json:"with,omitempty"`
	Most    string      `json:"measure,omitempty"`
	Mends   []string    `json:"mends,omitempty"`
	Breaks  []string    `json:"breaks,omitempty"`
	Seconds float64     `json:"seconds"` // [s] gained
	Low     float64     `json:"low"`     // [s]
	High    float64     `json:"high"`    // [s]
	Inside  bool        `json:"inside_range"`
	Price   *int64      `json:"price_minor,omitempty"`   // left out where some of it has no price
	Without []string    `json:"without_price,omitempty"` // those of it
	Per100  float64     `json:"per_100,omitempty"`       // [s]
	Sum     *float64    `json:"one_by_one_s,omitempty"`  // [s]
	Lap     float64     `json:"lap_time_s,omitempty"`    // [s]
	Narrow  []string    `json:"range_lacks,omitempty"`
	Why     string      `json:"why,omitempty"`
	Geared  *gearedJSON `json:"gearing_brought_back,omitempty"`
}

type gearedJSON struct {
	Front   int     `json:"front_teeth"`
	Rear    int     `json:"rear_teeth"`
	Seconds float64 `json:"seconds"` // [s] gained
	Low     float64 `json:"low"`     // [s]
	High    float64 `json:"high"`    // [s]
}

func worthOut(w Worth) worthJSON {
	out := worthJSON{w.Part, w.Package, w.With, w.Most, w.Mends, w.Breaks, w.Seconds, w.Low, w.High, w.Inside(), &w.Cost.Minor, w.Unpriced, w.PerHundred(), nil, 0, w.Narrow, w.Why, nil}
	if len(w.Unpriced) > 0 {
		out.Price = nil
	}
	if g := w.Geared; g != nil {
		out.Geared = &gearedJSON{g.Teeth.Front, g.Teeth.Rear, g.Seconds, g.Low, g.High}
	}
	return out
}

// object is what programs read.
func (v *Value) object() any {
	out := valueJSON{Against: v.Against, Advice: asked.AdviceOut(v.Advice), Base: v.Base, Parts: []worthJSON{}, Apart: v.Apart, Care: v.Care}
	for _, p := range v.Parts {
		out.Parts = append(out.Parts, worthOut(p))
	}
	for _, p := range v.NoPrice {
		out.NoPrice = append(out.NoPrice, worthOut(p))
	}
	for _, p := range v.Packages {
		one := worthOut(p.Worth)
		one.Sum = &p.Sum
		out.Packs = append(out.Packs, one)
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
	return out
}

// gains is the chart of what the parts are worth.
func (v *Value) gains() report.Gains {
	g := report.Gains{Title: "What each part gains on this course", Label: "s a lap gained, with 95 % range; filled: surely not nothing"}
	for _, w := range v.ridden() {
		if w.Why == "" {
			g.List = append(g.List, report.Gain{Name: w.Part, Value: w.Seconds, Low: w.Low, High: w.High, Sure: !w.Inside()})
		}
	}
	return g
}
