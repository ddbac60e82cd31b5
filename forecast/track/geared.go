package track

import (
	"fmt"
	"math"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/machine"
	"shakedown/vehicle/driveline"
)

// The sprockets' inputs.
const (
	frontTeeth = "driveline.sprockets.front"
	rearTeeth  = "driveline.sprockets.rear"
)

// Teeth are the sprockets that a build is ridden with in place of its own; the zero value is its own.
type Teeth struct {
	Front, Rear int
}

// on moves the sprockets of a build to these.
func (t Teeth) on(b *machine.Build, delta []float64) {
	for path, teeth := range map[string]int{frontTeeth: t.Front, rearTeeth: t.Rear} {
		v := b.Values[path]
		delta[v.Terms[0]] = float64(teeth) - b.Project.Number(v)
	}
}

// frontDoes is how near one front sprocket must bring the gearing to be taken before a rear one, which costs more [-];
// a tyre's size is no surer.
const frontDoes = 0.02

// GearedBack are the sprockets with which a build on rear tyres of another loaded radius is geared as another build is,
// as nearly as one other sprocket that is usually sold can, and what is said of them: "with 14 teeth in front". Where
// the radius is the same, the two differ in sprockets or primary already, or no sprocket that fits brings it nearer,
// there are none.
func GearedBack(b, like *machine.Build) (with Teeth, words string, ok bool) {
	in, other := &ranges.Inputs{Build: b}, &ranges.Inputs{Build: like}
	radius, err1 := running.LoadedRadius(in, running.RearWheel)
	was, err2 := running.LoadedRadius(other, running.RearWheel)
	front, rear := in.Count(frontTeeth), in.Count(rearTeeth)
	if err1 != nil || err2 != nil || len(in.Missing) > 0 || math.Abs(radius/was-1) < 1e-9 || running.Final(in) != running.Final(other) || in.Num("driveline.primary") != other.Num("driveline.primary") || len(in.Missing)+len(other.Missing) > 0 {
		return Teeth{}, "", false
	}
	wanted := running.Final(in) * radius / was
	room := chainRoomOf(in)
	off := func(t Teeth) float64 { return math.Abs(math.Log(float64(t.Rear) / float64(t.Front) / wanted)) }
	nearest := func(sold driveline.Counts, pair func(teeth int) Teeth) (best Teeth) {
		for teeth := sold.From; teeth <= sold.To; teeth++ {
			t := pair(teeth)
			if _, why := room.takes(t); why == fits && (best == Teeth{} || off(t) < off(best)) {
				best = t
			}
		}
		return best
	}
	inFront := nearest(room.chain.Front.Usual, func(teeth int) Teeth { return Teeth{teeth, rear} })
	behind := nearest(room.chain.Rear.Usual, func(teeth int) Teeth { return Teeth{front, teeth} })
	now := Teeth{front, rear}
	switch better := func(t Teeth) bool { return t != Teeth{} && t != now && off(t) < off(now) }; {
	case better(inFront) && (off(inFront) <= frontDoes || behind == Teeth{} || off(inFront) <= off(behind)):
		return inFront, fmt.Sprintf("with %d teeth in front", inFront.Front), true
	case better(behind):
		return behind, fmt.Sprintf("with %d teeth behind", behind.Rear), true
	}
	return Teeth{}, "", false
}
