package measure

import (
	"cmp"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// Next lists the inputs whose measurement would narrow the figures most, best first: for each input the sum over all
// figures of the relative half-width that would go, if it were known to the default tolerance of a measured value.
// Figures that only stand behind a rule do not count, nor do those that only give an input back.
func Next(b *machine.Build, figures []figure.Figure) []figure.Wanted {
	found := map[string]*figure.Wanted{}
	var order []string
	for _, f := range figures {
		if f.State != figure.Ready || f.Detail || f.Value == 0 || f.Half() == 0 || len(f.Basis.Inputs) == 1 {
			continue
		}
		wide := math.Min(1, f.Half()/math.Abs(f.Value))
		for _, in := range f.Basis.Inputs {
			field := machine.FieldAt(in.Path)
			if field == nil || in.Half == 0 || in.Share == 0 || len(b.Values[in.Path].Terms) == 0 {
				continue
			}
			after := quantity.DefaultHalf(in.Kind, in.Value, quantity.Measured)
			if after >= in.Half {
				continue
			}
			left := after / in.Half
			narrower := math.Sqrt(1 - in.Share*(1-left*left))
			w := found[in.Path]
			if w == nil {
				w = &figure.Wanted{Path: in.Path, How: field.How, Known: in.Known, Half: in.Half, After: after, Kind: in.Kind}
				found[in.Path] = w
				order = append(order, in.Path)
			}
			gain := wide * (1 - narrower)
			w.Gain += gain
			if gain > w.From-w.To {
				w.Figure, w.From, w.To = f.ID, wide, wide*narrower
			}
		}
	}
	list := make([]figure.Wanted, 0, len(order))
	for _, path := range order {
		list = append(list, *found[path])
	}
	slices.SortStableFunc(list, func(a, b figure.Wanted) int { return cmp.Compare(b.Gain, a.Gain) })
	return list
}
