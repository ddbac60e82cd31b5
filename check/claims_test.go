package check

import (
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// claiming is build "club" with a head pipe and other parts, whose maker claims what stands in the braces.
func claiming(t *testing.T, claim string, parts ...string) *bench {
	t.Helper()
	return on(t, "club", "  head-pipe:\n", "  head-pipe:\n    claims: [{"+claim+"}]\n",
		"club: [wide-axle, bearing-carrier, fork-springs, fork-oil, shock-spring, front-pads, low-seat, sprocket-14]", "club: ["+strings.Join(append(parts, "head-pipe"), ", ")+"]")
}

// ranged sets a figure with its range, and its change with the range of that [unit].
func (b *bench) ranged(id, unit string, value, half, change, sure float64) *bench {
	b.t.Helper()
	f, ok := b.c.Figures[id]
	if !ok {
		b.t.Fatalf("no figure %s", id)
	}
	u := quantity.MustUnit(unit).Factor
	f.State, f.Value, f.Low, f.High = figure.Ready, value*u, (value-half)*u, (value+half)*u
	f.Change = &figure.Change{Value: change * u, Low: (change - sure) * u, High: (change + sure) * u}
	b.c.Figures[id] = f
	return b
}

// change alters a figure.
func (b *bench) change(id string, by func(f *figure.Figure)) *bench {
	f := b.c.Figures[id]
	by(&f)
	b.c.Figures[id] = f
	return b
}

// powers sets a power of 16.3 kW at the crank, sure to 10 %, which are 14.67 to 17.93 kW, and 1.2 ± 0.5 kW above
// build "as-found". At the rear wheel with an efficiency of 0.92 ± 0.04 that is 14.996 kW, sure to
// root((0.92 x 1.63)^2 + (16.3 x 0.04)^2) = 1.636 kW, and 1.104 kW above, sure to root(0.46^2 + 0.048^2) = 0.4625 kW.
func (b *bench) powers() *bench {
	b.ranged(power, "kW", 16.3, 1.63, 1.2, 0.5)
	if _, ok := b.c.Figures[wheelPower]; ok { // not where every claim is at the crank
		b.ranged(wheelPower, "kW", 14.996, 1.636, 1.104, 0.4625)
	}
	return b
}

const power, wheelPower, torqueAtCrank = "engine.peak_power", "driveline.wheel_power", "engine.peak_torque"

func TestClaims(t *testing.T) {
	const of = "says: more, of: engine.peak_power, "
	bore := []figure.Input{{Path: "engine.exhaust.header[0].bore"}}
	for _, c := range []struct {
		name  string
		claim string
		parts []string
		set   func(b *bench) *bench
		want  Standing
		says  string
	}{
		// A total, by the place: 14.67 to 17.93 kW at the crank, 13.36 to 16.63 kW at the rear wheel.
		{"total at the crank", of + "value: 17.9 kW, at: crank", nil, nil, Holds, `Head pipe, 38 mm: the maker says "more" of peak power at the crank; computed 16.3 kW (14.7 kW to 17.9 kW): the claim holds.`},
		{"total at the crank, above", of + "value: 18 kW, at: crank", nil, nil, Fails, "the claim does not hold."},
		{"total at the wheel", of + "value: 16.6 kW, at: rear wheel", nil, nil, Holds, `of peak power at the rear wheel; computed 15.0 kW (13.4 kW to 16.6 kW): the claim holds.`},
		{"total at the wheel, above", of + "value: 17.9 kW, at: rear wheel", nil, nil, Fails, "the claim does not hold."},
		{"total of no place", of + "value: 16 kW", nil, nil, CannotBe, `of peak power and not where it was measured; computed 16.3 kW (14.7 kW to 17.9 kW) at the crank and 15.0 kW (13.4 kW to 16.6 kW) at the rear wheel: it cannot be judged, for crank and rear wheel lie about a tenth apart; ask the maker where it was measured.`},
		// Units: 24 hp are 17.897 kW, 24.4 PS 17.946 kW, 20 hp 14.914 kW.
		{"horsepower", of + "value: 24 hp, at: crank", nil, nil, Holds, `of peak power at the crank, 17.9 kW; computed`},
		{"metric horsepower", of + "value: 24.4 PS, at: crank", nil, nil, Fails, "17.9 kW; computed"},
		{"US units", of + "value: 14.914 kW, at: rear wheel", nil, func(b *bench) *bench { b.c.System = quantity.US; return b }, Holds, `, 20.00 hp; computed 20.11 hp (17.92 hp to 22.30 hp)`},
		// 20 lbf.ft are 27.12 Nm; 26 Nm ± 1 Nm do not reach that.
		{"pound-feet", "of: engine.peak_torque, value: 20 lbf.ft, at: crank", nil, func(b *bench) *bench { return b.ranged(torqueAtCrank, "Nm", 26, 1, 2, 0.5) }, Fails, `Head pipe, 38 mm: the maker's claim of peak torque at the crank, 27.1 Nm; computed 26.0 Nm (25.0 Nm to 27.0 Nm)`},
		{"pound-feet, US", "of: engine.peak_torque, gain: 2 Nm, at: crank", nil, func(b *bench) *bench {
			b.c.System = quantity.US
			return b.ranged(torqueAtCrank, "Nm", 26, 1, 2, 0.5)
		}, Holds, `a gain of +1.48 lbf.ft; computed +1.48 lbf.ft (+1.11 lbf.ft to +1.84 lbf.ft)`},
		// A gain: 0.7 to 1.7 kW at the crank, 0.6415 to 1.5665 kW at the rear wheel.
		{"gain", of + "gain: 1.65 kW, at: crank", nil, nil, Holds, `a gain of +1.65 kW; computed +1.20 kW (+0.700 kW to +1.70 kW) against build "as-found": the claim holds.`},
		{"gain, above", of + "gain: 3 hp, at: crank", nil, nil, Fails, `a gain of +2.24 kW; computed`},
		{"gain at the wheel, above", of + "gain: 1.65 kW, at: rear wheel", nil, nil, Fails, `computed +1.10 kW (+0.642 kW to +1.57 kW) against`},
		{"gain, below nothing", of + "gain: -1 kW, at: crank", nil, nil, Fails, "a gain of −1.00 kW"},
		{"gain wherever", of + "gain: 1.5 kW", nil, nil, Holds, `and not where it was measured, a gain of +1.50 kW; computed +1.20 kW (+0.700 kW to +1.70 kW) at the crank and +1.10 kW (+0.642 kW to +1.57 kW) at the rear wheel against build "as-found": the claim holds.`},
		{"gain nowhere", of + "gain: 2.5 kW", nil, nil, Fails, "the claim does not hold."},
		{"gain where it matters", of + "gain: 1.65 kW", nil, nil, CannotBe, "it cannot be judged, for at the crank the claim holds and at the rear wheel the claim does not hold; ask the maker where it was measured."},
		{"gain inside the range", of + "gain: 0.8 kW, at: crank", nil, func(b *bench) *bench { return b.ranged(power, "kW", 16.3, 1.63, 0.3, 0.7) }, Inside, `(−0.400 kW to +1.00 kW) against build "as-found": the claim is inside the range, and so is no change at all.`},
		// A factor: 16.3 / 15.1 = 1.079, from 1 + 0.7 / 15.1 = 1.046 to 1 + 1.7 / 15.1 = 1.113; 14.996 / 13.892 alike.
		{"factor wherever", of + "factor: 1.1", nil, nil, Holds, `and not where it was measured, a factor of 1.10; computed 1.08 (1.05 to 1.11) at the crank and 1.08 (1.05 to 1.11) at the rear wheel against build "as-found": the claim holds.`},
		{"factor", of + "factor: 1.2, at: crank", nil, nil, Fails, "computed 1.08 (1.05 to 1.11) against"},
		{"factor of nothing", of + "factor: 1.2, at: crank", nil, func(b *bench) *bench { return b.ranged(power, "kW", 16.3, 1.63, 16.3, 1) }, CannotBe, `in build "as-found" it is nothing`},
		// What else is fitted.
		{"with what is not fitted", of + "gain: 1.2 kW, at: crank, with: [race-cam, silencer]", []string{"silencer"}, nil, CannotBe, `with "Cam ground to 8.8 mm, on exchange" and "Silencer with a 30 mm outlet" fitted, a gain of +1.20 kW; it cannot be judged: this build is without "Cam ground to 8.8 mm, on exchange".`},
		{"with what is fitted", of + "value: 16 kW, at: crank, with: [silencer]", []string{"silencer"}, nil, Holds, `of peak power at the crank, with "Silencer with a 30 mm outlet" fitted; computed`},
		// What the change is of.
		{"gain of two", of + "gain: 1.2 kW, at: crank", []string{"silencer"}, nil, CannotBe, `computed +1.20 kW (+0.700 kW to +1.70 kW) against build "as-found": it cannot be judged, for the change is of this part with "Silencer with a 30 mm outlet"; compare with a build that has all but this part.`},
		{"gain of one of two", of + "gain: 1.2 kW, at: crank", []string{"sprocket-14"}, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) { f.Basis.Inputs = bore })
		}, Holds, "the claim holds."},
		{"gain of many", of + "gain: 1.2 kW, at: crank", []string{"silencer", "sprocket-14", "front-pads", "fork-oil", "low-seat", "wide-axle"}, nil, CannotBe, `"Front sprocket, 14 teeth", "Sintered front pads", "Fork oil, level set 150 mm below the upper edge of the tube" and 3 more; compare`},
		{"gain of another part", of + "gain: 1.2 kW, at: crank", []string{"silencer"}, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) {
				f.Basis.Inputs = []figure.Input{{Path: "engine.exhaust.silencer.volume"}}
			})
		}, CannotBe, `it cannot be judged, for nothing that this part changes goes into it, and the change is of "Silencer with a 30 mm outlet".`},
		{"gain of nothing computed", of + "gain: 1.2 kW, at: crank", nil, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) { f.Basis.Inputs = []figure.Input{{Path: "engine.bore"}} })
		}, CannotBe, "it cannot be judged, for nothing that this part changes goes into it."},
		{"the baseline has it", of + "gain: 1.2 kW, at: crank", []string{"silencer"}, func(b *bench) *bench { return b.against("head-pipe") }, CannotBe, `it cannot be judged, for build "other" has this part too, and the change is of "Silencer with a 30 mm outlet".`},
		{"the baseline is the build", of + "gain: 1.2 kW, at: crank", nil, func(b *bench) *bench { b.c.Baseline = b.c.Build; return b }, CannotBe, "there is no baseline to judge a change against."},
		{"gain, the rest in both", of + "gain: 1.2 kW, at: crank, with: [silencer]", []string{"silencer"}, func(b *bench) *bench { return b.against("silencer") }, Holds, `against build "other": the claim holds.`},
		{"taken off the baseline", of + "gain: 1.2 kW, at: crank", nil, func(b *bench) *bench { return b.against("silencer") }, CannotBe, `this part with "Silencer with a 30 mm outlet"`},
		// What is not computed, or not wholly.
		{"waiting", of + "value: 16 kW, at: crank", nil, func(b *bench) *bench { return b.state(power, figure.Waiting) }, NotYet, "; it is not judged yet: it takes so long."},
		{"waiting at the wheel", of + "gain: 1.2 kW", nil, func(b *bench) *bench { return b.state(power, figure.Waiting) }, NotYet, "; it is not judged yet: it takes so long."},
		{"waiting, of no place", of + "value: 16 kW", nil, func(b *bench) *bench { return b.state(power, figure.Waiting) }, CannotBe, "; it cannot be judged: crank and rear wheel lie about a tenth apart; ask the maker where it was measured."},
		{"cannot", of + "value: 16 kW, at: crank", nil, func(b *bench) *bench { return b.state(power, figure.Cannot) }, CannotBe, "; it cannot be judged: it takes so long."},
		{"cannot at the wheel alone", of + "gain: 1.2 kW", nil, func(b *bench) *bench { return b.state(wheelPower, figure.Cannot) }, CannotBe, "; it cannot be judged: it takes so long."},
		{"no such baseline", of + "gain: 1.2 kW, at: crank", nil, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) { f.Change = nil })
		}, CannotBe, `it cannot be judged: of build "as-found" it is not computed, so that there is no change to judge.`},
		{"a peak that is cut off", of + "value: 18 kW, at: crank", nil, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) { f.End = "still rising at the end of the sweep" })
		}, CannotBe, "(14.7 kW to 17.9 kW): it cannot be judged, for what it is computed from is still rising at the end of the sweep."},
		{"a gain over what is cut off", of + "gain: 1.2 kW, at: crank", nil, func(b *bench) *bench {
			return b.change(power, func(f *figure.Figure) { f.Change.End = "still rising at the end of the sweep" })
		}, CannotBe, "is still rising at the end of the sweep."},
		// A lap of 50 s ± 2.5 s, 0.8 s ± 0.3 s less than the baseline's.
		{"lap", "says: a second, of: track.lap_time, gain: -1 s", nil, func(b *bench) *bench { return b.ranged("track.lap_time", "s", 50, 2.5, -0.8, 0.3) }, Holds, `of lap time, a gain of −1.00 s; computed −0.800 s (−1.10 s to −0.500 s) against build "as-found": the claim holds.`},
		{"lap, without the inputs", "says: a second, of: track.lap_time, gain: -2 s", nil, func(b *bench) *bench {
			return b.ranged("track.lap_time", "s", 50, 2.5, -0.8, 0.3).change("track.lap_time", func(f *figure.Figure) { f.Narrow = []string{"how sure the inputs are"} })
		}, CannotBe, "it cannot be judged, for the range leaves out how sure the inputs are."},
		{"lap, inside without the inputs", "says: a second, of: track.lap_time, gain: -1 s", nil, func(b *bench) *bench {
			return b.ranged("track.lap_time", "s", 50, 2.5, -0.8, 0.3).change("track.lap_time", func(f *figure.Figure) { f.Narrow = []string{"how sure the inputs are"} })
		}, Holds, "the claim holds."},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := claiming(t, c.claim, c.parts...).powers()
			if c.set != nil {
				b = c.set(b)
			}
			var got []Verdict
			for _, v := range Claims(b.c) {
				if v.Part == "head-pipe" {
					got = append(got, v)
				}
			}
			if len(got) != 1 || got[0].State != c.want || !strings.Contains(got[0].Text, c.says) {
				t.Fatalf("%+v, want %s that says %q", got, c.want, c.says)
			}
			v := got[0]
			if v.Judged() != (c.want == Holds || c.want == Fails || c.want == Inside) || v.Holds() != (c.want == Holds || c.want == Inside) {
				t.Errorf("%s: judged %v, holds %v", c.want, v.Judged(), v.Holds())
			}
			// What is not judged is said, and what does not hold; nothing else.
			want := map[Standing]figure.Severity{Fails: figure.Note, NotYet: figure.NotComputed, CannotBe: figure.NotComputed}
			for _, f := range b.run("claims") {
				if f.Text != v.Text {
					continue
				}
				if severity, ok := want[c.want]; !ok || f.Severity != severity {
					t.Errorf("%s is a %s", c.want, f.Severity)
				}
				delete(want, c.want)
			}
			if _, silent := want[c.want]; silent {
				t.Error("no finding says so")
			}
		})
	}
}

// state makes a figure one that has no value.
func (b *bench) state(id string, state figure.State) *bench {
	return b.change(id, func(f *figure.Figure) { f.State, f.Why = state, "it takes so long" })
}

// against compares with a build "other" that has these parts.
func (b *bench) against(parts ...string) *bench {
	b.t.Helper()
	var refs []machine.Reference
	for _, id := range parts {
		refs = append(refs, machine.Reference{Name: id})
	}
	other, err := b.c.Build.Project.Lay(refs)
	if err != nil {
		b.t.Fatal(err)
	}
	other.Name = "other"
	b.c.Baseline = other
	return b
}
