package forecast

import (
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

// The numbers of a sheet are measured on the machine as found, with the tyres that it had. On tyres of another loaded radius the build comes down, or up, and turns:
// what is said here of a place, a rake or the wheelbase is how it then stands. A value that a part sets is meant on the machine as found like all others, and moves with
// it, unless the same part brings the tyres: who sells tyres with a height or a rake says how it stands on them.

// standing is how a build stands, found once for all that a figure reads: what moves tyres or wheelbase has been moved before.
type standing struct {
	shod  [2]bool // front and rear have tyres of another loaded radius than the machine as found
	stand chassis.Stand
}

// shodOtherwise says which ends of the build have tyres of another loaded radius than as found; no input is noted by it.
func shodOtherwise(in *inputs) (front, rear bool) {
	return frontWheel.changed(in), rearWheel.changed(in)
}

func (w wheel) changed(in *inputs) bool {
	b := in.build
	tyre, given := w.path("wheels.%s.tyre"), w.path("wheels.%s.loaded_radius")
	return b.Values[tyre].Text != b.Project.Base[tyre].Text || in.reset(given) || !b.Given(given) && in.reset("wheels.loaded_radius_share")
}

// bringsTyres says that a part of the build sets the tyre of an end, or its loaded radius.
func (w wheel) bringsTyres(in *inputs, part string) bool {
	return part != "" && (in.build.Values[w.path("wheels.%s.tyre")].Origin.Part == part || in.build.Values[w.path("wheels.%s.loaded_radius")].Origin.Part == part)
}

func stoodOf(in *inputs) *standing {
	if s, ok := in.kept.(*standing); ok {
		return s
	}
	front, rear := shodOtherwise(in)
	s := &standing{shod: [2]bool{front, rear}}
	in.kept = s
	s.stand = standOf(in, front, rear)
	return s
}

// standAll is how the build stands, for what the machine as found says.
func standAll(in *inputs) chassis.Stand {
	return stoodOf(in).stand
}

// standFor is how the build stands, for what a part says: an end whose tyres it brings has not moved.
func standFor(in *inputs, part string) chassis.Stand {
	all := stoodOf(in)
	front, rear := all.shod[0] && !frontWheel.bringsTyres(in, part), all.shod[1] && !rearWheel.bringsTyres(in, part)
	if front == all.shod[0] && rear == all.shod[1] {
		return all.stand
	}
	return standOf(in, front, rear)
}

// standOf is how the build stands when the ends that are named have other tyres than what is moved was measured on. It is still where neither has: nothing is read then.
func standOf(in *inputs, front, rear bool) chassis.Stand {
	if !front && !rear {
		return chassis.Stand{}
	}
	radii := func(w wheel, moved bool) (was, now float64) {
		now, err := loadedRadius(in, w)
		in.fail(err)
		if was = now; moved {
			was, err = w.foundRadius(in)
			in.fail(err)
		}
		return was, now
	}
	var was, now chassis.Wheels
	was.Front, now.Front = radii(frontWheel, front)
	was.Rear, now.Rear = radii(rearWheel, rear)
	wheelbase := in.num("geometry.wheelbase")
	if len(in.missing) > 0 || in.wrong != nil {
		return chassis.Stand{}
	}
	s, err := chassis.StandOn(wheelbase, was, now)
	in.fail(err)
	return s
}

// foundRadius is the loaded radius of an end on the tyres that the machine had [m].
func (w wheel) foundRadius(in *inputs) (float64, error) {
	if radius, ok := in.found(w.path("wheels.%s.loaded_radius")); ok {
		return radius, nil
	}
	size, err := tyre.ParseSize(in.build.Project.Base[w.path("wheels.%s.tyre")].Text)
	share, ok := in.found("wheels.loaded_radius_share")
	if !ok {
		in.miss("wheels.loaded_radius_share")
	}
	return share * size.Outside / 2, err
}

// wheelbase of the build as it stands [m].
func wheelbase(in *inputs) float64 {
	measured := in.num("geometry.wheelbase")
	if s := standFor(in, in.build.Values["geometry.wheelbase"].Origin.Part); s.Wheelbase > 0 { // it has moved
		return s.Wheelbase
	}
	return measured
}

// rake of the build as it stands [rad].
func rake(in *inputs) float64 {
	return standFor(in, in.build.Values["geometry.rake"].Origin.Part).Rake(in.num("geometry.rake"))
}

// placeOf is where a point of the machine lies on the build as it stands [m], ahead of the rear axle and above ground. Its inputs end in .x and .z.
func placeOf(in *inputs, path string) (x, z float64) {
	return standFor(in, in.build.Values[path+".z"].Origin.Part).Place(in.num(path+".x"), in.num(path+".z"))
}
