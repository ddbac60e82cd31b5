package asked

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

var exampleSheets = map[string]string{"three-wheeler": example, "quad": "../../../examples/sallow-q250.yaml", "bike": "../../../examples/brackwater-246.yaml"}

// randomPart is a part that sets nearly every number of a machine to something else: lengths, masses and rates up to a
// fifth away, teeth and cylinders drawn anew. Some inputs lose how they are known, some gain it.
func randomPart(random *rand.Rand, p *machine.Project) string {
	var sets []string
	words := []string{"", " measured", " claimed", " typical", " estimated"}
	for _, path := range slices.Sorted(maps.Keys(p.Base)) {
		v := p.Base[path]
		if v.Field.Shape != machine.Number || strings.Contains(path, "[") || path == "mass.dry" && random.Float64() < 0.5 {
			continue
		}
		if top, _, _ := strings.Cut(path, "."); !slices.Contains([]string{"mass", "geometry", "engine", "driveline", "wheels", "suspension", "brakes", "tank"}, top) {
			continue
		}
		number := p.Number(v)
		switch {
		case path == "driveline.sprockets.front":
			number = float64(10 + random.IntN(7))
		case path == "driveline.sprockets.rear":
			number = float64(34 + random.IntN(20))
		case path == "engine.cylinders":
			number = float64(1 + random.IntN(2))
		case strings.HasSuffix(path, "_valve.count"):
			number = float64(1 + random.IntN(3))
		case path == "driveline.chain.pitches", path == "suspension.front.legs", strings.HasSuffix(path, ".count"), strings.HasSuffix(path, ".pistons"):
		case v.Field.Spec.Whole:
			number = math.Round(number * (0.8 + 0.4*random.Float64()))
		default:
			number *= 0.8 + 0.4*random.Float64()
		}
		if v.Field.Bound == machine.Share {
			number = min(number, 1)
		}
		text := fmt.Sprintf("%.6g", number)
		if v.Field.Spec.Kind != quantity.Ratio {
			unit := quantity.Units(v.Field.Spec.Kind)[0]
			text = fmt.Sprintf("%.6g %s", unit.FromSI(number), unit.Symbol)
		}
		if !v.Field.Spec.Exact {
			text += words[random.IntN(len(words))]
		}
		sets = append(sets, path+": "+text)
	}
	return "  random:\n    sets: {" + strings.Join(sets, ", ") + "}\n"
}

// Every figure of a random machine is finite with a range about it, or says why it cannot be computed; nearly all
// machines are whole. A machine that physics refuses (a dome that fills its chamber) is refused with a place and is not
// counted.
func randomMachines(t *testing.T, each int) {
	for _, layout := range machine.Layouts {
		text, err := os.ReadFile(exampleSheets[layout])
		if err != nil {
			t.Fatal(err)
		}
		s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: text})
		if err != nil {
			t.Fatal(err)
		}
		random := rand.New(rand.NewPCG(300, uint64(len(layout))))
		file := filepath.Join(t.TempDir(), layout+".yaml")
		whole, tried := 0, 0
		reasons := map[string]int{}
		for range each {
			spoilt := strings.Replace(string(text), "\nparts:\n", "\nparts:\n"+randomPart(random, s.Project), 1)
			spoilt = strings.Replace(spoilt, "\nbuilds:\n", "\nbuilds:\n  random: [random]\n", 1)
			if err := os.WriteFile(file, []byte(spoilt), 0o644); err != nil {
				t.Fatal(err)
			}
			a, err := Ask(Question{Path: file, Build: "random", Against: "as-found"})
			if err != nil {
				if !faults.IsMendable(err) || !strings.Contains(err.Error(), "compression") {
					t.Errorf("%s: %v", layout, err)
				}
				reasons["refused: no chamber left"]++
				continue
			}
			tried++
			complete := true
			for _, f := range a.Figures {
				switch {
				case f.State == figure.Cannot && f.Why == "":
					t.Errorf("%s %s: no reason", layout, f.ID)
				case f.State == figure.Cannot:
					reasons[f.ID+": "+f.Why]++
					complete = complete && f.Detail
				case math.IsNaN(f.Low+f.Value+f.High) || math.IsInf(f.Low, 0) || math.IsInf(f.High, 0) || f.Low > f.Value || f.High < f.Value:
					t.Errorf("%s %s: %g in %g to %g", layout, f.ID, f.Value, f.Low, f.High)
				}
			}
			if complete {
				whole++
			}
		}
		for _, reason := range slices.Sorted(maps.Keys(reasons)) {
			t.Logf("%s: %d times %s", layout, reasons[reason], reason)
		}
		t.Logf("%s: %d of %d whole", layout, whole, tried)
		if tried < each*3/4 || float64(whole) < 0.98*float64(tried) {
			t.Errorf("%s: only %d of %d machines are whole", layout, whole, tried)
		}
	}
}

func TestRandomMachines(t *testing.T) { randomMachines(t, 8) }

func TestHeavyRandomMachines(t *testing.T) {
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("a quarter of a minute; make test-heavy runs it")
	}
	randomMachines(t, 300)
}
