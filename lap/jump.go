package lap

import "math"

// onto is where, counted from the lip along level, a jump at a speed meets the landing that begins at the gap and
// falls, and with what speed along it and into it [m/s]; the distance is less than the gap when it falls short.
func (j *Jump) onto(v float64) (distance, along, into float64) {
	sin, cos := math.Sincos(j.TakeOff)
	rise, fall := sin/cos, math.Tan(j.Landing)
	k := gravity / (2 * v * v * cos * cos)
	a := rise + fall
	root := a*a - 4*k*j.Gap*fall
	if root < 0 {
		return 0, 0, 0
	}
	distance = (a + math.Sqrt(root)) / (2 * k)
	time := distance / (v * cos)
	level, up := v*cos, v*sin-gravity*time
	ls, lc := math.Sincos(j.Landing)
	return distance, level*lc - up*ls, -(level*ls + up*lc)
}

// slowest is the speed at the lip that just reaches the landing [m/s]: v^2 sin(2 angle)/g is the gap.
func (j *Jump) slowest() float64 {
	return math.Sqrt(gravity * j.Gap / math.Sin(2*j.TakeOff))
}

// exit is the speed along the landing [m/s] of a jump at a speed; one that falls short keeps what runs along level.
func (j *Jump) exit(v float64) float64 {
	if v < j.slowest() {
		return v * math.Cos(j.TakeOff)
	}
	_, along, _ := j.onto(v)
	return along
}

// entry is the speed at the lip that leaves with a speed along the landing.
func (j *Jump) entry(exit float64) float64 {
	low, high := 0.1, 200.0
	for range 60 {
		if middle := (low + high) / 2; j.exit(middle) < exit {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// landing is the fastest at the lip [m/s] at which the suspension takes the landing: half the square of the speed into
// the ground is what it absorbs. A jump that cannot be landed so even when it is just cleared is not flown.
func (s *solver) landing(j *Jump) float64 {
	most := math.Sqrt(2 * s.m.Absorbs)
	low := j.slowest()
	if _, _, into := j.onto(low * (1 + 1e-9)); into > most {
		return low / 2
	}
	high := low
	for range 200 {
		if _, _, into := j.onto(high); into > most || high > 100 {
			break
		}
		high *= 1.05
	}
	for range 50 {
		middle := (low + high) / 2
		if _, _, into := j.onto(middle); into <= most {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}
