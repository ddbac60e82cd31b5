package machine

import (
	"testing"

	"shakedown/internal/outside"
	"shakedown/quantity"
)

func TestGroundsByName(t *testing.T) {
	for words, want := range map[string]string{
		"loam": "loam", "Sandy loam": "loam", "hard-pack": "hard earth", "wet clay, rutted": "wet earth", "clay": "clay", "wet grass": "wet grass", "Grass": "grass", "wet sand": "firm sand", "sand": "sand",
		"dirt": "hard earth", "loose dirt": "loam", "sandstone": "", "": "", "snow": "packed snow",
	} {
		got := ""
		if g := GroundFor(words); g != nil {
			got = g.Name()
		}
		if got != want {
			t.Errorf("%q is taken for %q, not %q", words, got, want)
		}
	}
}

func TestGroundStandsIn(t *testing.T) {
	p := &Project{Base: map[string]Value{"track.surface": {Text: "wet grass"}, "layout": {Text: "quad"}}}
	p.FillTypical()
	if got := p.Number(p.Base["track.peak_grip"]); got != 0.25 {
		t.Errorf("wet grass grips %g", got)
	}
	if q := p.Atoms[p.Base["track.peak_grip"].Terms[0]].Q; q.Known != quantity.Typical || q.Half != 0.12 {
		t.Errorf("it is not marked as typical, within 0.12: %+v", q)
	}
	p = &Project{Base: map[string]Value{"track.surface": {Text: "wet grass"}, "layout": {Text: "quad"}}}
	p.Base["track.peak_grip"] = p.typicalValue("track.peak_grip", "0.4")
	p.FillTypical()
	if got := p.Number(p.Base["track.peak_grip"]); got != 0.4 {
		t.Errorf("a reading was replaced by %g", got)
	}
}

// TestOutsideGrounds looks whether what is published lies in the range that each ground is given.
func TestOutsideGrounds(t *testing.T) {
	seen := []outside.Known{outside.Seen}
	remembered := []outside.Known{outside.Memory}
	for _, row := range []struct {
		id, ground, what string
		published        float64
		source           string
		known            []outside.Known
	}{
		{"5.41", "wet grass", "grip", 0.20, noon, seen}, {"5.41", "gravel", "grip", 0.35, noon, seen}, {"5.41", "dry asphalt", "grip", 0.65, noon, seen}, {"5.41", "loam", "grip", 0.60, noon, seen}, {"5.41", "loam", "grip", 0.65, noon, seen},
		{"5.43", "hard earth", "grip", 0.68, taborek, remembered}, {"5.43", "hard earth", "slide", 0.65 / 0.68, taborek, remembered}, {"5.43", "wet earth", "grip", 0.55, taborek, remembered}, {"5.43", "wet earth", "slide", 0.45 / 0.55, taborek, remembered},
		{"5.43", "gravel", "grip", 0.60, taborek, remembered}, {"5.43", "gravel", "slide", 0.55 / 0.60, taborek, remembered}, {"5.43", "dry asphalt", "grip", 0.85, taborek, remembered}, {"5.43", "dry asphalt", "slide", 0.75 / 0.85, taborek, remembered},
		{"5.44", "gravel", "rolling", 0.012, moyer, seen}, {"5.44", "gravel", "rolling", 0.06, moyer, seen},
		{"5.45", "hard earth", "rolling", 0.08, gillespie, remembered}, {"5.45", "loam", "rolling", 0.08, gillespie, remembered}, {"5.45", "sand", "rolling", 0.30, gillespie, remembered}, {"5.45", "dry asphalt", "rolling", 0.015, gillespie, remembered},
	} {
		g := GroundFor(row.ground)
		p := &Project{}
		path := map[string]string{"grip": "track.peak_grip", "rolling": "track.rolling_resistance", "slide": "track.slide_share"}[row.what]
		p.typicalValue(path, g.typical(path))
		q := p.Atoms[0].Q
		outside.Check{ID: "chassis " + row.id, Name: g.Name() + ": what is published of its " + row.what + " lies in its range", Unit: "1", Got: q.Value, Want: row.published, Tol: q.Half * (1 + 1e-9), Source: row.source, Known: row.known}.Run(t)
	}
	// Five skid tests of off-road tyres on various ground: together the grounds without water and snow reach over all
	// of it.
	low, high := 1.0, 0.0
	for _, name := range []string{"dry asphalt", "gravel", "hard earth", "loam", "grass"} {
		p := &Project{}
		p.typicalValue("track.peak_grip", GroundFor(name).Grip)
		low, high = min(low, p.Atoms[0].Q.Value-p.Atoms[0].Q.Half), max(high, p.Atoms[0].Q.Value+p.Atoms[0].Q.Half)
	}
	for _, edge := range []float64{0.58, 0.88} {
		outside.Check{ID: "chassis 5.40", Name: "skid tests of off-road tyres lie among the dry grounds", Unit: "1", Got: (low + high) / 2, Want: edge, Tol: (high - low) / 2, Source: "FME 2007, five skid tests", Known: seen}.Run(t)
	}
}
