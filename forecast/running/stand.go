package running

import (
	"shakedown/forecast/ranges"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

// The numbers of a sheet are measured on the machine as found, with the tyres that it had. On tyres of another loaded
// radius the build comes down, or up, and turns: what is said here of a place, a rake or the wheelbase is how it then
// stands. A value that a part sets is meant on the machine as found like all others, and moves with it, unless the same
// part brings the tyres: who sells tyres with a height or a rake says how it stands on them.

// standing is how a build stands, found once for all that a figure reads: what moves tyres or wheelbase has been moved
// before.
type standing struct {
	shod  [2]bool // front and rear have tyres of another loaded radius than the machine as found
	stand chassis.Stand
}

// shodOtherwise says which ends of the build have tyres of another loaded radius than as found; no input is noted by
// it.
func shodOtherwise(in *ranges.Inputs) (front, rear bool) {
	return FrontWheel.changed(in), RearWheel.changed(in)
}

func (w Wheel) changed(in *ranges.Inputs) bool {
	b := in.Build
	tyre, given := w.Path("wheels.%s.tyre"), w.Path("wheels.%s.loaded_radius")
	return b.Values[tyre].Text != b.Project.Base[tyre].Text || in.Build.Changed(given) || !b.Given(given) && in.Build.Changed("wheels.loaded_radius_share")
}

// bringsTyres says that a part of the build sets the tyre of an end, or its loaded radius.
func (w Wheel) bringsTyres(in *ranges.Inputs, part string) bool {
	return part != "" && (in.Build.Values[w.Path("wheels.%s.tyre")].Origin.Part == part || in.Build.Values[w.Path("wheels.%s.loaded_radius")].Origin.Part == part)
}

func stoodOf(in *ranges.Inputs) *standing {
	if s, ok := in.Kept.(*standing); ok {
		return s
	}
	front, rear := shodOtherwise(in)
	s := &standing{shod: [2]bool{front, rear}}
	in.Kept = s
	s.stand = standOf(in, front, rear)
	return s
}

// standFor is how the build stands, for what a part says: an end whose tyres it brings has not moved.
func standFor(in *ranges.Inputs, part string) chassis.Stand {
	all := stoodOf(in)
	front, rear := all.shod[0] && !FrontWheel.bringsTyres(in, part), all.shod[1] && !RearWheel.bringsTyres(in, part)
	if front == all.shod[0] && rear == all.shod[1] {
		return all.stand
	}
	return standOf(in, front, rear)
}

// standOf is how the build stands when the ends that are named have other tyres than what is moved was measured on. It
// is still where neither has: nothing is read then.
func standOf(in *ranges.Inputs, front, rear bool) chassis.Stand {
	if !front && !rear {
		return chassis.Stand{}
	}
	radii := func(w Wheel, moved bool) (was, now float64) {
		now, err := LoadedRadius(in, w)
		in.Fail(err)
		if was = now; moved {
			was, err = w.foundRadius(in)
			in.Fail(err)
		}
		return was, now
	}
	var was, now chassis.Wheels
	was.Front, now.Front = radii(FrontWheel, front)
	was.Rear, now.Rear = radii(RearWheel, rear)
	wheelbase := in.Num("geometry.wheelbase")
	if len(in.Missing) > 0 || in.Wrong != nil {
		return chassis.Stand{}
	}
	s, err := chassis.StandOn(wheelbase, was, now)
	in.Fail(err)
	return s
}

// foundRadius is the loaded radius of an end on the tyres that the machine had [m].
func (w Wheel) foundRadius(in *ranges.Inputs) (float64, error) {
	if radius, ok := in.Found(w.Path("wheels.%s.loaded_radius")); ok {
		return radius, nil
	}
	size, err := tyre.ParseSize(in.Build.Project.Base[w.Path("wheels.%s.tyre")].Text)
	share, ok := in.Found("wheels.loaded_radius_share")
	if !ok {
		in.Miss("wheels.loaded_radius_share")
	}
	return share * size.Outside / 2, err
}

// Wheelbase of the build as it stands [m].
func Wheelbase(in *ranges.Inputs) float64 {
	measured := in.Num("geometry.wheelbase")
	if s := standFor(in, in.Build.Values["geometry.wheelbase"].Origin.Part); s.Wheelbase > 0 { // it has moved
		return s.Wheelbase
	}
	return measured
}

// rake of the build as it stands [rad].
func rake(in *ranges.Inputs) float64 {
	return standFor(in, in.Build.Values["geometry.rake"].Origin.Part).Rake(in.Num("geometry.rake"))
}

// placeOf is where a point of the machine lies on the build as it stands [m], ahead of the rear axle and above ground.
// Its inputs end in .x and .z.
func placeOf(in *ranges.Inputs, path string) (x, z float64) {
	return standFor(in, in.Build.Values[path+".z"].Origin.Part).Place(in.Num(path+".x"), in.Num(path+".z"))
}
