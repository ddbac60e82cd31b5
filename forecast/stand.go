package forecast

import (
	"slices"

	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

// The numbers of a sheet are measured on the machine as found, with the tyres that it had. On tyres of another loaded radius the build comes down, or up, and turns:
// what is said here of a place, a rake or the wheelbase is how it then stands. A value that a part sets is meant on the machine as found like all others, and moves with
// it, unless the same part brings the tyres: who sells tyres with a height or a rake says how it stands on them.

// standing is what a figure knows of how its build stands, found once.
type standing struct {
	known bool
	shod  [2]bool // front and rear have tyres of another loaded radius than the machine as found
	stand chassis.Stand
}

// changed says which ends of the build have tyres of another loaded radius than as found; no input is noted by it.
func (in *inputs) changed() (front, rear bool) {
	return frontWheel.changed(in), rearWheel.changed(in)
}

func (w wheel) changed(in *inputs) bool {
	b := in.build
	tyre, given := w.path("wheels.%s.tyre"), w.path("wheels.%s.loaded_radius")
	return b.Values[tyre].Text != b.Project.Base[tyre].Text || in.reset(given) || !b.Given(given) && in.reset("wheels.loaded_radius_share")
}

// reset says that parts change an input of the machine as found.
func (in *inputs) reset(path string) bool {
	return !slices.Equal(in.build.Values[path].Terms, in.build.Project.Base[path].Terms)
}

// bringsTyres says that a part of the build sets the tyre of an end, or its loaded radius.
func (w wheel) bringsTyres(in *inputs, part string) bool {
	return part != "" && (in.build.Values[w.path("wheels.%s.tyre")].Origin.Part == part || in.build.Values[w.path("wheels.%s.loaded_radius")].Origin.Part == part)
}

// stand is how the build stands, for what the machine as found says.
func (in *inputs) stand() chassis.Stand {
	if !in.stood.known {
		front, rear := in.changed()
		in.stood = standing{known: true, shod: [2]bool{front, rear}}
		in.stood.stand = in.standOf(front, rear)
	}
	return in.stood.stand
}

// standFor is how the build stands, for what a part says: an end whose tyres it brings has not moved.
func (in *inputs) standFor(part string) chassis.Stand {
	all := in.stand()
	front, rear := in.stood.shod[0] && !frontWheel.bringsTyres(in, part), in.stood.shod[1] && !rearWheel.bringsTyres(in, part)
	if front == in.stood.shod[0] && rear == in.stood.shod[1] {
		return all
	}
	return in.standOf(front, rear)
}

// standOf is how the build stands when the ends that are named have other tyres than what is moved was measured on. It is still where neither has: nothing is read then.
func (in *inputs) standOf(front, rear bool) chassis.Stand {
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
	if s := in.standFor(in.build.Values["geometry.wheelbase"].Origin.Part); s.Wheelbase > 0 { // it has moved
		return s.Wheelbase
	}
	return measured
}

// rake of the build as it stands [rad].
func rake(in *inputs) float64 {
	return in.standFor(in.build.Values["geometry.rake"].Origin.Part).Rake(in.num("geometry.rake"))
}

// place is where a point of the machine lies on the build as it stands [m], ahead of the rear axle and above ground. Its inputs end in .x and .z.
func (in *inputs) place(path string) (x, z float64) {
	return in.standFor(in.build.Values[path+".z"].Origin.Part).Place(in.num(path+".x"), in.num(path+".z"))
}
