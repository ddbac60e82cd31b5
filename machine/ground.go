package machine

import (
	"strings"
	"unicode"

	"shakedown/quantity"
)

// Ground is what a kind of ground usually is to an off-road tyre: it stands in where the sheet names the ground and
// gives no reading.
type Ground struct {
	Names   []string // words of a sheet that mean it, the first its own name
	Grip    string   // track.peak_grip as a sheet would say it
	Rolling string   // track.rolling_resistance
	Slide   string   // track.slide_share
	Soil    string   // by its name in the tyre room; "" for ground that does not give way, or of which nothing is published
	Source  string
}

const (
	noon      = "Noon, Engineering Analysis of Vehicular Accidents (1994), appendix 3"
	taborek   = "Taborek, in Wong, Theory of Ground Vehicles, table 1.3"
	moyer     = "Moyer, in Marks' Standard Handbook"
	gillespie = "Gillespie, Fundamentals of Vehicle Dynamics"
	memory    = "common practice, from memory"
)

// Grounds are the kinds of ground that are known. Road and farm tyres were measured, not yours: the ranges hold what
// the sources say.
var Grounds = []Ground{
	{[]string{"dry asphalt", "asphalt", "tarmac", "concrete"}, "0.76 ± 0.14", "0.02 ± 0.01", "0.88 ± 0.08", "", "grip: " + taborek + "; rolling: " + gillespie},
	{[]string{"wet asphalt", "wet tarmac", "wet concrete"}, "0.50 ± 0.12", "0.02 ± 0.01", "0.85 ± 0.1", "", "grip: " + taborek + "; rolling: " + gillespie},
	{[]string{"gravel", "crushed stone", "shale", "cinder"}, "0.55 ± 0.2", "0.035 ± 0.025", "0.92 ± 0.08", "", "grip: " + taborek + "; " + noon + "; rolling: " + moyer},
	{[]string{"hard earth", "hard pack", "hardpack", "dry earth", "earth", "dirt", "soil"}, "0.60 ± 0.12", "0.05 ± 0.03", "0.94 ± 0.06", "", "grip: " + taborek + "; rolling: " + gillespie + ", " + memory},
	{[]string{"wet earth", "wet dirt", "wet clay", "mud"}, "0.35 ± 0.2", "0.10 ± 0.06", "0.82 ± 0.1", "", "grip: " + taborek + "; rolling: " + memory},
	{[]string{"loam", "loose dirt", "moist dirt", "loose earth", "loose soil"}, "0.62 ± 0.1", "0.10 ± 0.05", "0.90 ± 0.08", "sandy loam", "grip: " + noon + ", loose moist dirt; rolling: between medium-hard soil and sand of " + gillespie},
	{[]string{"sand", "dune"}, "0.55 ± 0.15", "0.25 ± 0.12", "0.92 ± 0.08", "dry sand", "grip: angle of inner friction, Wong, table 2.3; rolling: " + gillespie},
	{[]string{"firm sand", "wet sand", "beach"}, "0.60 ± 0.12", "0.08 ± 0.05", "0.92 ± 0.08", "firm sand", "grip: angle of inner friction, Wong, table 2.3; rolling: " + memory},
	{[]string{"clay"}, "0.60 ± 0.15", "0.06 ± 0.04", "0.90 ± 0.1", "clayey soil", "grip: as hard earth, wider; rolling: " + memory},
	{[]string{"wet grass"}, "0.25 ± 0.12", "0.08 ± 0.04", "0.80 ± 0.1", "", "grip: " + noon + "; rolling: " + memory},
	{[]string{"grass", "turf", "field"}, "0.45 ± 0.15", "0.08 ± 0.04", "0.85 ± 0.1", "", memory},
	{[]string{"packed snow", "snow"}, "0.30 ± 0.08", "0.06 ± 0.04", "0.85 ± 0.1", "snow", memory},
}

// Name is what a ground is called.
func (g *Ground) Name() string { return g.Names[0] }

// GroundFor is the ground that a sheet's words for it mean: that of which most words are named; nil for words that mean
// none.
func GroundFor(words string) *Ground {
	said := map[string]bool{}
	for _, w := range strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return !unicode.IsLetter(r) }) {
		said[w] = true
	}
	var best *Ground
	most := 0
	for i := range Grounds {
		for _, name := range Grounds[i].Names {
			parts := strings.Fields(name)
			all := true
			for _, p := range parts {
				all = all && said[p]
			}
			if all && len(parts) > most {
				best, most = &Grounds[i], len(parts)
			}
		}
	}
	return best
}

// GripRange is the greatest grip that the ground usually gives [-], and the half-width that holds it with 95 %.
func (g *Ground) GripRange() (value, half float64) {
	q := g.parsed("track.peak_grip")
	return q.Value, q.Half
}

// SlideShare is what of that is usually left when the tyre slides [-].
func (g *Ground) SlideShare() float64 { return g.parsed("track.slide_share").Value }

func (g *Ground) parsed(path string) quantity.Quantity {
	q, err := quantity.Parse(g.typical(path), FieldAt(path).Spec)
	if err != nil {
		panic("machine: " + path + " of " + g.Name() + ": " + err.Error())
	}
	return q
}

// typical is what the ground has for an input; "" for nothing.
func (g *Ground) typical(path string) string {
	if g == nil {
		return ""
	}
	switch path {
	case "track.peak_grip":
		return g.Grip
	case "track.rolling_resistance":
		return g.Rolling
	case "track.slide_share":
		return g.Slide
	}
	return ""
}
