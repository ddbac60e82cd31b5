package recording

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// spot is a fix that is believed, on a plane through the first of them.
type spot struct {
	x, y  float64 // [m] east and north
	z     float64 // [m] height; not a number when it was not logged
	t     float64 // [s]
	speed float64 // [m/s] not a number when it was not logged
	set   bool    // the clock was set just before
}

// ride is what is believed of a recording.
type ride struct {
	pieces [][]spot // each without a gap
	timed  bool     // else t only counts on
	notes  []string
}

func (r *ride) note(n int, one, many, text string) {
	if n > 0 {
		r.notes = append(r.notes, count(n, one, many)+" "+text)
	}
}

// What can be ridden, and what a receiver does.
const (
	fastestRide = 60.0 // [m/s] no machine for rough ground reaches it
	hardest     = 15.0 // [m/s2] nor this acceleration, for longer than a fix: grip of 1.5
	slack       = 10.0 // [m] by which two fixes may lie farther apart, for noise
	strays      = 6.0  // by how many standard deviations of the scatter a place may lie beside its neighbours
	gapTime     = 30.0 // [s] without a fix, or
	gapFixes    = 10.0 // times the usual time between fixes, is a gap
	few         = 5    // fixes that stand alone are not believed
	looks       = 4    // chains that are looked at for each fix
	farUntimed  = 20.0 // times the usual way between places without times is a gap
	leastGap    = 100.0
)

// cleaned keeps the fixes of a recording that can be, and says what was left out.
func cleaned(fixes []Fix) *ride {
	r := &ride{}
	fixes = r.placed(fixes)
	if fixes = r.clocked(fixes); r.timed {
		r.chain(fixes)
	} else {
		r.spaced(fixes)
	}
	stray := 0
	for i, p := range r.pieces {
		var n int
		r.pieces[i], n = unstrayed(p)
		stray += n
	}
	r.note(stray, "place was", "places were", "left out: the receiver jumped aside, faster than any machine accelerates")
	r.pieces = slices.DeleteFunc(r.pieces, func(p []spot) bool { return len(p) < leastPlaces })
	return r
}

// placed leaves out the fixes at latitude and longitude nought, which a receiver logs before it knows where it is.
func (r *ride) placed(fixes []Fix) []Fix {
	var kept []Fix
	for _, f := range fixes {
		if f.Lat != 0 || f.Lon != 0 {
			kept = append(kept, f)
		}
	}
	r.note(len(fixes)-len(kept), "place was", "places were", "left out at latitude and longitude 0: the receiver did not know yet where it was")
	return kept
}

// clocked decides whether the ride goes by its times. Fixes without one are then left out; times that stay while the
// place moves on are spread, for some loggers write whole seconds only.
func (r *ride) clocked(fixes []Fix) []Fix {
	var timed []Fix
	for _, f := range fixes {
		if !math.IsNaN(f.Time) {
			timed = append(timed, f)
		}
	}
	if 2*len(timed) <= len(fixes) {
		if len(timed) > 0 {
			r.notes = append(r.notes, "fewer than half of its places have a time: the times are not used")
		}
		return fixes
	}
	r.note(len(fixes)-len(timed), "place was", "places were", "left out that had no time")
	still, moves := 0, 0
	for i := 1; i < len(timed); i++ {
		if timed[i].Lat != timed[i-1].Lat || timed[i].Lon != timed[i-1].Lon {
			moves++
			if timed[i].Time == timed[i-1].Time {
				still++
			}
		}
	}
	if still == moves {
		if moves > 0 {
			r.notes = append(r.notes, "all its times are the same: they are not used")
		}
		return fixes
	}
	r.timed = true
	if 3*still > moves {
		timed = spreadTimes(timed)
		r.notes = append(r.notes, "several places have the same time: they are spread evenly to the next one")
	}
	return timed
}

// spreadTimes spreads the fixes of one time evenly to the next time.
func spreadTimes(fixes []Fix) []Fix {
	fixes = slices.Clone(fixes)
	usual := 0.0
	for i := 0; i < len(fixes); {
		j := i
		for j < len(fixes) && fixes[j].Time == fixes[i].Time {
			j++
		}
		to := fixes[i].Time + usual
		if j < len(fixes) {
			to = fixes[j].Time
		}
		if d := to - fixes[i].Time; d > 0 && d < gapTime {
			usual = d
			begin := fixes[i].Time
			for k := i; k < j; k++ {
				fixes[k].Time = begin + d*float64(k-i)/float64(j-i)
			}
		}
		i = j
	}
	return fixes
}

// usualStep is the middle time between two fixes that moved on [s].
func usualStep(fixes []Fix) float64 {
	var steps []float64
	last := 0
	for i := 1; i < len(fixes); i++ {
		if fixes[i].Lat == fixes[last].Lat && fixes[i].Lon == fixes[last].Lon {
			continue
		}
		if d := fixes[i].Time - fixes[last].Time; d > 0 {
			steps = append(steps, d)
		}
		last = i
	}
	if len(steps) == 0 {
		return 1
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// chained are fixes each of which can be reached from the one before.
type chained struct {
	fixes       []Fix
	alive       float64 // [s] when its last place was logged last
	first, last int     // as they stand in the recording
	gaps        []int   // fixes before which there was a gap
	sets        []int   // fixes before which the clock was set
}

// chain puts the fixes into chains by what can be ridden, joins those between which only the clock was set, and leaves
// out the short ones and those during which another goes on: there the receiver was elsewhere.
func (r *ride) chain(fixes []Fix) {
	usual := usualStep(fixes)
	gap := math.Max(gapTime, gapFixes*usual)
	var list []*chained // by when they were last gone on with
	again := 0
	for i, f := range fixes {
		var best *chained
		for k := len(list) - 1; k >= 0 && k >= len(list)-looks; k-- {
			c := list[k]
			end := c.fixes[len(c.fixes)-1]
			dt := f.Time - end.Time
			way := apart(end, f)
			if dt == 0 && way <= slack {
				if way > 0 {
					again++
				}
				best = nil
				goto next
			}
			if !(dt > 0) || way > fastestRide*dt+slack {
				continue
			}
			if best == nil || dt < f.Time-best.fixes[len(best.fixes)-1].Time {
				best = c
			}
			if len(c.fixes) >= few {
				break // the latest that is established
			}
		}
		if best == nil {
			best = &chained{first: i}
			list = append(list, best)
		} else {
			end := best.fixes[len(best.fixes)-1]
			if f.Lat == end.Lat && f.Lon == end.Lon && f.Time-best.alive <= gap { // logged again before the receiver had another
				best.alive, best.last = f.Time, i
				continue
			}
			if f.Time-best.alive > gap {
				best.gaps = append(best.gaps, len(best.fixes))
			}
			at := slices.Index(list, best)
			list = append(slices.Delete(list, at, at+1), best)
		}
		best.fixes, best.alive, best.last = append(best.fixes, f), f.Time, i
	next:
	}
	r.note(again, "place was", "places were", "left out that had the time of the one before")
	slices.SortFunc(list, func(a, b *chained) int { return a.first - b.first })
	jumped := 0
	var kept []*chained
	for _, c := range list {
		inside := slices.ContainsFunc(list, func(o *chained) bool {
			return o != c && o.first < c.first && o.last > c.last && len(o.fixes) > len(c.fixes)
		})
		if inside || len(c.fixes) < few && len(list) > 1 {
			jumped += len(c.fixes)
			continue
		}
		if n := len(kept); n > 0 {
			before := kept[n-1]
			end, begin := before.fixes[len(before.fixes)-1], c.fixes[0]
			if back := end.Time - begin.Time; back >= 0 && before.last < c.first && apart(end, begin) <= fastestRide*3*usual+slack {
				if back > 0 {
					r.notes = append(r.notes, "the clock was set back by "+duration(back+usual)+" on the way: a lap across that has no time")
				}
				before.sets = append(before.sets, len(before.fixes))
				for _, g := range c.gaps {
					before.gaps = append(before.gaps, len(before.fixes)+g)
				}
				move := end.Time + usual - begin.Time
				for _, f := range c.fixes {
					f.Time += move
					before.fixes = append(before.fixes, f)
				}
				before.last = c.last
				continue
			}
		}
		kept = append(kept, c)
	}
	r.note(jumped, "place was", "places were", "left out: the receiver jumped, or its time did")
	if len(kept) > 1 {
		r.notes = append(r.notes, "it holds "+count(len(kept), "ride", "rides")+" that do not follow from each other: no lap goes from one to the other")
	}
	if len(kept) == 0 {
		return
	}
	longest := slices.MaxFunc(kept, func(a, b *chained) int { return len(a.fixes) - len(b.fixes) })
	for _, c := range kept {
		spots := onPlane(longest.fixes[0], c.fixes)
		for _, k := range c.sets {
			spots[k].set = true
		}
		from := 0
		for _, g := range append(c.gaps, len(spots)) {
			if g > from {
				r.pieces = append(r.pieces, spots[from:g])
			}
			from = g
		}
	}
}

// duration words a time.
func duration(s float64) string {
	switch {
	case s < 120:
		return trimmed(s, 2) + " s"
	case s < 7200:
		return trimmed(s/60, 1) + " min"
	case s < 172800:
		return trimmed(s/3600, 1) + " h"
	}
	return trimmed(s/86400, 0) + " days"
}

// trimmed is a number with so many places, without noughts at its end.
func trimmed(v float64, places int) string {
	text := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// spaced cuts a ride without times where places lie much farther apart than usual, and leaves out single ones that do.
// What counts on in place of a time is worked out when the line is smoothed.
func (r *ride) spaced(fixes []Fix) {
	var moved []Fix
	for i, f := range fixes {
		if i == 0 || f.Lat != fixes[i-1].Lat || f.Lon != fixes[i-1].Lon {
			moved = append(moved, f)
		}
	}
	var ways []float64
	for i := 1; i < len(moved); i++ {
		ways = append(ways, apart(moved[i-1], moved[i]))
	}
	if len(ways) == 0 {
		return
	}
	sorted := slices.Clone(ways)
	slices.Sort(sorted)
	far := math.Max(leastGap, farUntimed*sorted[len(sorted)/2])
	var runs [][]Fix
	from := 0
	for i := 1; i <= len(moved); i++ {
		if i < len(moved) && ways[i-1] <= far {
			continue
		}
		run := moved[from:i]
		from = i
		if n := len(runs); n > 0 && len(runs[n-1]) > 0 && len(run) >= few {
			if end := runs[n-1][len(runs[n-1])-1]; apart(end, run[0]) <= far { // what lay between was a jump
				runs[n-1] = append(slices.Clone(runs[n-1]), run...)
				continue
			}
		}
		if len(run) >= few || len(run) == len(moved) {
			runs = append(runs, run)
		}
	}
	kept := 0
	for _, run := range runs {
		kept += len(run)
		r.pieces = append(r.pieces, onPlane(runs[0][0], run))
	}
	r.note(len(moved)-kept, "place was", "places were", "left out: the receiver jumped")
	if len(runs) > 1 {
		r.notes = append(r.notes, "it holds "+count(len(runs), "ride", "rides")+" that do not follow from each other: no lap goes from one to the other")
	}
}

// onPlane lays fixes on a plane through another.
func onPlane(origin Fix, fixes []Fix) []spot {
	x, y := Step(origin, fixes[0])
	spots := make([]spot, len(fixes))
	for i, f := range fixes {
		if i > 0 {
			east, north := Step(fixes[i-1], f)
			x, y = x+east, y+north
		}
		spots[i] = spot{x: x, y: y, z: f.Height, t: f.Time, speed: f.Speed}
	}
	return spots
}

// unstrayed leaves out single places that lie farther beside the line between their neighbours than the scatter of the
// ride and the hardest acceleration allow, the farthest of neighbours first.
func unstrayed(list []spot) (kept []spot, stray int) {
	timed := len(list) > 0 && !math.IsNaN(list[0].t)
	for range 3 {
		n := len(list)
		if n < 2*few {
			break
		}
		off := make([]float64, n)
		var all []float64
		for i := 1; i < n-1; i++ {
			a, b, c := list[i-1], list[i], list[i+1]
			f, allowed := 0.5, 0.0
			if timed {
				before, after := b.t-a.t, c.t-b.t
				f = before / (before + after)
				allowed = hardest * before * after / 2
			}
			e := math.Hypot(b.x-a.x-f*(c.x-a.x), b.y-a.y-f*(c.y-a.y))
			off[i] = math.Max(0, e-allowed)
			all = append(all, e)
		}
		slices.Sort(all)
		limit := strays * 1.2 * all[len(all)/2] // the middle length of two noises is 1.18 standard deviations of each
		if !timed {
			limit *= 2 // without times turns are in it
		}
		limit = math.Max(limit, 0.5)
		drop := make([]bool, n)
		dropped := 0
		for i := 1; i < n-1; i++ {
			if off[i] > limit && off[i] >= off[i-1] && off[i] > off[i+1] && !drop[i-1] {
				drop[i] = true
				dropped++
			}
		}
		if dropped == 0 || 5*dropped > n { // more than that is no stray place but noise of another kind
			break
		}
		stray += dropped
		kept := make([]spot, 0, n-dropped)
		for i, s := range list {
			if !drop[i] {
				kept = append(kept, s)
			} else if s.set && i+1 < n {
				list[i+1].set = true
			}
		}
		list = kept
	}
	return list, stray
}
