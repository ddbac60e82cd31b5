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

// chainRoom is what the sprockets of a build must fit into.
type chainRoom struct {
	shortest, longest float64    // [m] centres
	pitch             float64    // [m]
	pitches           int        // of the chain that is on
	around            [2]float64 // [m] room around the front and the rear sprocket; +Inf where nobody said
}

func chainRoomOf(in *ranges.Inputs) chainRoom {
	c := chainRoom{in.Num("driveline.sprocket_centres.shortest"), in.Num("driveline.sprocket_centres.longest"), running.Pitch(in), in.Count("driveline.chain.pitches"), [2]float64{math.Inf(1), math.Inf(1)}}
	for i, end := range []string{"front", "rear"} {
		if room := "driveline.sprockets." + end + "_room"; in.Has(room) {
			c.around[i] = in.Num(room)
		}
	}
	return c
}

// takes says whether a pair of sprockets fits, with how many pitches of chain: those that are on where they do.
func (c chainRoom) takes(front, rear int) (pitches int, ok bool) {
	if driveline.TipRadius(c.pitch, front) > c.around[0] || driveline.TipRadius(c.pitch, rear) > c.around[1] {
		return 0, false
	}
	even := 2 * int(math.Round(driveline.ChainPitches((c.shortest+c.longest)/2, c.pitch, front, rear)/2))
	for _, pitches := range []int{c.pitches, even} {
		centres, err := driveline.CentresForPitches(float64(pitches), c.pitch, front, rear)
		if err == nil && centres >= c.shortest && centres <= c.longest && driveline.Wrap(centres, c.pitch, front, rear) >= WrapLeast {
			return pitches, true
		}
	}
	return 0, false
}

// frontDoes is how near one front sprocket must bring the gearing to be taken before a rear one, which costs more [-];
// a tyre's size is no surer.
const frontDoes = 0.02

// GearedBack are the sprockets with which a build on rear tyres of another loaded radius is geared as another build is,
// as nearly as one other sprocket can, and what is said of them: "with 14 teeth in front". Where the radius is the
// same, the two differ in sprockets or primary already, or no sprocket that fits brings it nearer, there are none.
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
	unknown := len(in.Missing) > 0 // then any that is to be had is taken
	off := func(t Teeth) float64 { return math.Abs(math.Log(float64(t.Rear) / float64(t.Front) / wanted)) }
	nearest := func(from, to int, pair func(teeth int) Teeth) (best Teeth) {
		for teeth := from; teeth <= to; teeth++ {
			t := pair(teeth)
			if _, fits := room.takes(t.Front, t.Rear); (unknown || fits) && (best == Teeth{} || off(t) < off(best)) {
				best = t
			}
		}
		return best
	}
	inFront := nearest(frontFrom, frontTo, func(teeth int) Teeth { return Teeth{teeth, rear} })
	behind := nearest(rearFrom, rearTo, func(teeth int) Teeth { return Teeth{front, teeth} })
	now := Teeth{front, rear}
	switch better := func(t Teeth) bool { return t != Teeth{} && t != now && off(t) < off(now) }; {
	case better(inFront) && (off(inFront) <= frontDoes || behind == Teeth{} || off(inFront) <= off(behind)):
		return inFront, fmt.Sprintf("with %d teeth in front", inFront.Front), true
	case better(behind):
		return behind, fmt.Sprintf("with %d teeth behind", behind.Rear), true
	}
	return Teeth{}, "", false
}
