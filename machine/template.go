package machine

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"shakedown/figure"
	"shakedown/quantity"
)

// typicalThreeWheeler holds what a three-wheeler of about 250 cc of the early eighties usually has. It stands in for
// what the owner has not given and is always marked typical. Common practice, from memory.
func typicalThreeWheeler() map[string]string {
	return map[string]string{
		"air.temperature": "20 C ± 8 C", "air.humidity": "50 % ± 20 %", "air.altitude": "100 m ± 200 m",
		"rider.mass": "76 kg", "rider.kit": "8 kg", "rider.hangs_off": "150 mm ± 50 mm", "rider.drag_area": "0.65 m2",
		"rider.stature": "178 cm", "rider.seat_to_cg.x": "100 mm ± 30 mm", "rider.seat_to_cg.z": "250 mm ± 30 mm",
		"layout":   "three-wheeler",
		"mass.dry": "130 kg", "mass.front_share": "0.33 ± 0.04", "mass.cg_height": "440 mm ± 50 mm",
		"tank.capacity": "9 l", "tank.x": "620 mm", "tank.z": "800 mm",
		"geometry.wheelbase": "1220 mm", "geometry.track_rear": "800 mm", "geometry.rake": "23 deg ± 3 deg", "geometry.fork_offset": "45 mm ± 10 mm",
		"geometry.seat.x": "150 mm", "geometry.seat.z": "690 mm", "geometry.peg.x": "480 mm", "geometry.peg.z": "320 mm",
		"geometry.bar.x": "760 mm", "geometry.bar.z": "960 mm",
		"geometry.lowest_x": "600 mm ± 200 mm",
		"engine.cycle":      "four-stroke", "engine.tuned_for": "trail", "engine.cooling": "air", "engine.fan": "no", "engine.crank_bearings": "rolling", "engine.head.valve_drive": "rocker", "engine.cylinders": "1",
		"engine.bore": "74 mm ± 2 mm", "engine.stroke": "60 mm ± 4 mm",
		"engine.chamber.gasket_thickness": "0.8 mm ± 0.2 mm",
		"engine.chamber.deck":             "0.4 mm ± 0.3 mm",
		"engine.rod_mass.small_end_share": "0.33 ± 0.04",
		"engine.fuel.name":                "pump 95",
		"engine.fuel.ron":                 "95", "engine.fuel.mon": "85", "engine.fuel.density": "745 kg/m3", "engine.fuel.lambda": "0.88 ± 0.04",
		"engine.head.included_valve_angle": "70 deg",
		"engine.head.intake_valve.count":   "1", "engine.head.intake_valve.lash": "0.05 mm",
		"engine.head.exhaust_valve.lash": "0.08 mm",
		"engine.cam.checking_lift":       "1 mm",
		"engine.cam.lobe_fullness":       "0.5 ± 0.15", "engine.cam.rocker_ratio": "1.25 ± 0.1",
		"engine.cam.follower.surface":     "chilled iron",
		"engine.leak_down.restrictor":     "0.040 in ± 0.001 in",
		"engine.leak_down.supply":         "100 psi ± 2 psi",
		"engine.cranking.speed":           "500 rpm ± 100 rpm",
		"engine.cranking.hose_volume":     "1 cc ± 1 cc",
		"engine.intake.carburettor.count": "1",
		"driveline.primary":               "3.2", "driveline.efficiency": "0.92 ± 0.04", "driveline.sprockets.front": "12", "driveline.sprockets.rear": "42",
		"driveline.chain.size":       "520",
		"driveline.clutch.friction":  "0.12 ± 0.03",
		"wheels.loaded_radius_share": "0.95 ± 0.04",
		"wheels.front.tyre":          "22x8-10",
		"wheels.rear.tyre":           "22x11-9",
		"wheels.axle.bore":           "0 mm",
		"wheels.axle.yield":          "600 MPa",
		"suspension.front.legs":      "2",
		"suspension.unsprung.front":  "13 kg",
		"suspension.unsprung.rear":   "34 kg",
		"brakes.front.count":         "1",
		"brakes.front.shoe_factor":   "2.0 ± 0.6",
		"brakes.rear.shoe_factor":    "2.0 ± 0.6",
		"brakes.rear.pad_friction":   "0.38 ± 0.08",
		"brakes.front.pad_friction":  "0.38 ± 0.08",
		"brakes.front.lever_ratio":   "5.8 ± 0.8",
		"track.peak_grip":            "0.60 ± 0.15",
		"track.rolling_resistance":   "0.06 ± 0.03",
		"track.slip_at_peak":         "0.15 ± 0.08",
		"track.slide_share":          "0.85 ± 0.1",
		"track.axle_holds":           "1 ± 0.3",
		"track.sections[0].straight": "80 m", "track.sections[1].corner": "left", "track.sections[1].radius": "15 m", "track.sections[1].angle": "180 deg",
		"track.sections[2].straight": "80 m", "track.sections[3].corner": "left", "track.sections[3].radius": "15 m", "track.sections[3].angle": "180 deg",
		"suspension.rear.linkage": "none",
		"suspension.front.kind":   "telescopic fork",
		"suspension.rear.kind":    "single shock",
		"engine.fuel.race":        "no",
		"class_rules.race_fuel":   "yes",
		"wheels.rear.beadlock":    "no",
	}
}

// typicalQuad is where a four-wheeler of the middle eighties with A-arms differs; "" takes an input out.
func typicalQuad() map[string]string {
	return map[string]string{
		"layout": "quad", "mass.dry": "165 kg", "mass.front_share": "0.47 ± 0.04", "mass.cg_height": "430 mm ± 50 mm",
		"tank.x": "640 mm", "tank.z": "780 mm", "geometry.track_front": "790 mm", "geometry.track_rear": "780 mm",
		"geometry.rake": "8 deg ± 4 deg", "geometry.fork_offset": "0 mm ± 15 mm",
		"geometry.seat.x": "220 mm", "geometry.seat.z": "750 mm", "geometry.bar.x": "800 mm", "geometry.bar.z": "980 mm",
		"wheels.front.tyre": "21x7-10", "wheels.rear.tyre": "20x11-9",
		"suspension.front.kind": "A-arms", "suspension.unsprung.front": "30 kg", "suspension.unsprung.rear": "36 kg", "brakes.front.count": "2",
	}
}

// typicalBike is where an off-road bike of about 1980 with twin shocks differs.
func typicalBike() map[string]string {
	return map[string]string{
		"layout": "bike", "mass.dry": "112 kg", "mass.front_share": "0.47 ± 0.03", "mass.cg_height": "560 mm ± 50 mm",
		"tank.x": "760 mm", "tank.z": "900 mm", "geometry.wheelbase": "1430 mm", "geometry.track_rear": "",
		"geometry.rake": "28 deg ± 2 deg", "geometry.fork_offset": "60 mm ± 10 mm",
		"geometry.seat.x": "380 mm", "geometry.seat.z": "880 mm", "geometry.peg.x": "520 mm", "geometry.peg.z": "340 mm",
		"geometry.bar.x": "860 mm", "geometry.bar.z": "1120 mm",
		"rider.seat_to_cg.z": "260 mm ± 40 mm", "wheels.loaded_radius_share": "0.97 ± 0.02",
		"wheels.front.tyre": "3.00-21", "wheels.rear.tyre": "110/90-18", "wheels.axle.bore": "", "wheels.axle.yield": "", "wheels.rear.beadlock": "",
		"suspension.rear.kind": "twin shocks", "suspension.unsprung.front": "15 kg", "suspension.unsprung.rear": "18 kg",
	}
}

// Layouts are the layouts that have a template, the commonest first.
var Layouts = []string{"three-wheeler", "quad", "bike"}

// templates are made when the first sheet is read.
var templates = sync.OnceValue(func() map[string]map[string]string {
	return map[string]map[string]string{
		"three-wheeler": typicalThreeWheeler(), "quad": differing(typicalQuad()), "bike": differing(typicalBike()),
	}
})

// differing is the three-wheeler's template with what another layout has different.
func differing(other map[string]string) map[string]string {
	whole := typicalThreeWheeler()
	for path, text := range other {
		if text == "" {
			delete(whole, path)
			continue
		}
		whole[path] = text
	}
	return whole
}

// Typical is the template's text for an input of a layout, or "" when the template leaves it out too.
func Typical(layout, path string) string { return templates()[layout][path] }

// FillTypical adds the template's value for every input that the sheet leaves out and the template knows, then what
// follows from others by a relation; what ground usually is goes by the ground that the sheet names. Lists are filled
// only when the sheet gives no entry of them, optional groups (rider.cg, loaded radii, weakest section) never.
func (p *Project) FillTypical() {
	template := templates()["three-wheeler"]
	if layout, ok := p.Base["layout"]; ok {
		template = templates()[layout.Text]
	}
	lists := p.lists()
	ground := GroundFor(p.Base["track.surface"].Text)
	for _, path := range slices.Sorted(maps.Keys(template)) {
		list, _, isList := strings.Cut(path, "[")
		_, given := p.Base[path]
		if given || (isList && lists[list]) || p.replaced(path, lists) {
			continue
		}
		text := template[path]
		if better := ground.typical(path); better != "" {
			text = better
		}
		p.Base[path] = p.typicalValue(path, text)
		p.Typical++
	}
	p.fillRelated(lists)
}

// replaced says that the sheet gives something better than the template's value at the path.
func (p *Project) replaced(path string, lists map[string]bool) bool {
	has := func(other string) bool { _, ok := p.Base[other]; return ok }
	switch path {
	case "rider.seat_to_cg.x":
		return has("rider.cg.x")
	case "rider.seat_to_cg.z":
		return has("rider.cg.z")
	case "engine.claimed_ratio":
		return has("engine.chamber.head")
	case "air.altitude":
		return has("air.pressure")
	case "engine.cam.lobe_fullness":
		return lists["engine.cam.intake.table"] && lists["engine.cam.exhaust.table"]
	}
	return false
}

func (p *Project) typicalValue(path, text string) Value {
	field := FieldAt(path)
	if field == nil {
		panic("machine: template for an unknown input " + path)
	}
	value := Value{Field: field, Text: text}
	switch field.Shape {
	case Number:
		spec := field.Spec
		spec.Default = quantity.Typical
		number, err := quantity.Parse(text, spec)
		if err != nil {
			panic(fmt.Sprintf("machine: template for %s: %v", path, err))
		}
		value.Terms = []int{p.AddAtom(Atom{Path: path, Q: number, Origin: figure.Origin{}})}
	case YesNo:
		value.Yes = text == "yes"
	}
	return value
}
