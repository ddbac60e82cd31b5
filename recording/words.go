package recording

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"shakedown/recording/smooth"
)

// Of what is too rough.
const (
	lengthSure = 0.02 // [-] of the length within which it must be sure with 95 %
	timeSure   = 0.1  // [-] of the time for which corners allow within which that must be sure with 95 %; by judgement: twice what a lap is unsure of anyway
	across     = 5.0  // [m/s2] that a machine holds in a corner: half its weight
	flatOut    = 20.0 // [m/s] that it reaches
	cornerFrom = 0.02 // [1/m] curvature of a corner
)

// corners are how much the corners of a line turn on the average, and how sure that is with 95 % [1/m]; 0 where there
// are none.
func (l *Line) corners() (turn, unsure float64) {
	n := 0.0
	for i, k := range l.Curvature {
		if math.Abs(k) >= cornerFrom {
			turn, unsure, n = turn+math.Abs(k), unsure+normal*l.Unsure[i], n+1
		}
	}
	if n == 0 {
		return 0, 0
	}
	return turn / n, unsure / n
}

// allowed is the time for which corners allow a line [s]: at half the weight across, and no faster than a machine goes.
func allowed(length float64, curvature []float64) float64 {
	sum := 0.0
	for _, k := range curvature {
		sum += math.Max(1/flatOut, math.Sqrt(math.Abs(k)/across))
	}
	return sum * length / float64(len(curvature))
}

// timeUnsure is how sure the time is for which corners allow the line, with 95 % [-].
func (l *Line) timeUnsure() float64 {
	if len(l.Drawn) < 2 {
		return 0
	}
	var times []float64
	for _, d := range l.Drawn {
		times = append(times, allowed(d.Length, d.Curvature))
	}
	own := allowed(l.Length, l.Curvature)
	mean, sd := stat.MeanStdDev(times, nil)
	return math.Hypot(normal*sd, mean-own) / own
}

// rough says whether a line is too rough for its course, and what would do: fixes so far apart [s] are what it has.
func (l *Line) rough(m *smooth.Motion, apart float64, timed bool) error {
	length, time := (l.High-l.Low)/2/l.Length, l.timeUnsure()
	need := math.Max(length/lengthSure, time/timeSure)
	if !(need > 1) {
		return nil
	}
	found := fmt.Sprintf("its places scatter by %s m from fix to fix and wander by about %s m, so that its length is sure to %.1f %% and the time in its corners to %.0f %%", trimmed(m.Noise, 2), trimmed(m.Drift, 1), 100*length, 100*time)
	return fmt.Errorf("%w: %s; %s", ErrRough, found, wouldDo(m, apart, need, timed))
}

// impossible takes the times from laps that are quicker than anything can be ridden: their clock is wrong. It says how
// many there were.
func (l *Line) impossible() {
	n := 0
	for i, p := range l.Laps {
		if p.Time*fastestRide < p.Length {
			l.Laps[i].Time = unknown
			n++
		}
	}
	if n > 0 {
		l.Notes = append(l.Notes, fmt.Sprintf("%s quicker than anything can be ridden: the times are wrong and not used", count(n, "lap was", "laps were")))
	}
}

// widest is the radius of a curvature in words.
func widest(k float64) string {
	if k < 1e-3 {
		return "a straight"
	}
	return fmt.Sprintf("%.0f m", 1/k)
}

// wouldDo says what would make a ride as sure as it needs to be: so many times surer than it is.
func wouldDo(m *smooth.Motion, apart, need float64, timed bool) string {
	now := m.Bent(apart)
	if timed {
		for _, rate := range []float64{5, 10, 25} {
			if 1/rate < 0.8*apart && m.Bent(1/rate)*need <= now {
				return fmt.Sprintf("%.0f fixes a second of the same scatter would do", rate)
			}
		}
	}
	for _, share := range []float64{0.5, 0.25, 0.1} {
		less := *m
		less.Noise, less.Drift = share*m.Noise, share*m.Drift
		if less.Bent(apart)*need <= now {
			return fmt.Sprintf("a receiver that scatters by %s m or less would do: one with a free sight of the sky, or with correction signals", trimmed(less.Noise, 2))
		}
	}
	return "give the course as sections, or ride it with a receiver that logs ten times a second or more and scatters by a few centimetres"
}

// Words are what an owner should know of a line, as clauses.
func (l *Line) Words() []string {
	var words []string
	if n := len(l.Laps); n > 0 {
		which := "the first is ridden"
		if l.Taken > 0 {
			which = fmt.Sprintf("the quickest, of %.2f s, is ridden", l.Taken)
		}
		words = append(words, fmt.Sprintf("the logged ride holds %s; %s", count(n, "whole lap", "whole laps"), which))
	}
	if !l.Closed {
		n := len(l.X) - 1
		words = append(words, fmt.Sprintf("the logged ride goes one way and ends %.0f m from where it begins: it is ridden as if its end led into its start", math.Hypot(l.X[n]-l.X[0], l.Y[n]-l.Y[0])))
	}
	words = append(words, l.Notes...)
	text := fmt.Sprintf("its places scatter by %s m from fix to fix and wander by about %s m; smoothed by that it is %s m long (95 %% range %s to %s)", trimmed(l.Scatter, 2), trimmed(l.Wander, 1), trimmed(l.Length, 0), trimmed(l.Low, 0), trimmed(l.High, 0))
	if turn, unsure := l.corners(); turn > 0 {
		text += fmt.Sprintf(", and its corners have a radius of %.0f m on the average (%.0f to %s)", 1/turn, 1/(turn+unsure), widest(turn-unsure))
	}
	words = append(words, text)
	if !l.Heights {
		words = append(words, "it has no heights and is ridden as level")
	}
	return append(words, "banks, crests, whoops and jumps are not in a recording")
}
