package machine

import (
	"slices"
	"testing"
)

// What a part touches calls for a caution, whatever the part is called.
func TestCaresGoByWhatIsTouched(t *testing.T) {
	sets := func(paths ...string) []Entry {
		var list []Entry
		for _, p := range paths {
			list = append(list, Entry{Path: p})
		}
		return list
	}
	for _, c := range []struct {
		what    string
		part    Part
		cooling string
		want    []string // beside those that always stand
	}{
		{"a seat with a telling name", Part{Kind: "seat", Name: "Welded brake-pad piston camouflage spring seat", Sets: sets("geometry.seat.z")}, "air", nil},
		{"pads under a strange name", Part{Kind: "part", Name: "Grip", Sets: sets("brakes.front.pad_friction")}, "air", []string{"brakes", "asbestos"}},
		{"a drum brake by its kind", Part{Kind: "brake linings", Name: "X"}, "air", []string{"brakes", "asbestos"}},
		{"frame work at the shop", Part{Kind: "shop work", Name: "Y", Keeps: "frame"}, "air", []string{"welding"}},
		{"a frame that is coated", Part{Kind: "coating", Name: "Z", Keeps: "frame"}, "air", []string{"coating"}},
		{"an axle", Part{Kind: "part", Sets: sets("wheels.axle.diameter")}, "air", []string{"wheels"}},
		{"a sprocket", Part{Kind: "part", Sets: sets("driveline.sprockets.front")}, "air", []string{"chain"}},
		{"a shock spring", Part{Kind: "part", Sets: sets("suspension.rear.spring_rate")}, "air", []string{"springs"}},
		{"gas in a shock", Part{Kind: "part", Sets: sets("suspension.rear.gas_pressure")}, "air", []string{"gas"}},
		{"another fuel", Part{Kind: "part", Sets: sets("engine.fuel.ron")}, "air", []string{"fuel", "race-fuel", "running"}},
		{"a spark advanced", Part{Kind: "part", Sets: sets("engine.ignition_advance[0].deg")}, "air", []string{"running", "dynamometer"}},
		{"a piston on air", Part{Kind: "part", Sets: sets("engine.bore")}, "air", []string{"running", "asbestos"}},
		{"a piston on water", Part{Kind: "part", Sets: sets("engine.bore")}, "liquid", []string{"running", "coolant", "asbestos"}},
		{"what is taken off", Part{Kind: "part", Removes: []Reference{{Name: "brakes.front.disc_mass"}}}, "air", []string{"brakes", "asbestos"}},
	} {
		for layout, ride := range map[string]string{"bike": "bike", "quad": "quad", "three-wheeler": "three-wheeler"} {
			b := &Build{Parts: []*Part{&c.part}, Values: map[string]Value{"layout": {Text: layout}, "engine.cooling": {Text: c.cooling}}}
			var got []string
			for _, care := range CaresFor(b) {
				if care.Text == "" || care.Source == "" {
					t.Errorf("%s says nothing or has no source", care.ID)
				}
				got = append(got, care.ID)
			}
			if want := append(append([]string{ride}, c.want...), "rules"); !slices.Equal(got, want) {
				t.Errorf("%s on a %s: %v, want %v", c.what, layout, got, want)
			}
		}
	}
}
