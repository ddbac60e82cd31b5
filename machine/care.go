package machine

import (
	"slices"
	"strings"
	"unicode"
)

// Care is what a kind of work, or riding, can do to people, and how it is done so that it does not.
type Care struct {
	ID      string
	Text    string
	Source  string    // published guidance, or common practice
	Kinds   []string  // words of a part's kind that mean the work
	Touches []string  // beginnings of inputs: a part that sets, adds to or removes one means the work
	Keeps   []string  // what such a part keeps busy; looked at when its kind says nothing
	Only    [2]string // an input and the word it must have; empty for every machine
	Always  bool      // for every build, whatever is done to it
}

const practice = "common practice; the maker's manual"

// Cares are all of them, those that hurt most first.
var Cares = []Care{
	{ID: "bike", Text: "A bike throws its rider. No figure here is a promise of safety: wear a helmet and full protection, ride on closed ground, and try every change slowly first.",
		Source: "US Consumer Product Safety Commission, safety tips for off-road vehicles (2016)", Only: [2]string{"layout", "bike"}, Always: true},
	{ID: "three-wheeler", Text: rollOver, Source: rollOverSource, Only: [2]string{"layout", "three-wheeler"}, Always: true},
	{ID: "quad", Text: rollOver, Source: rollOverSource, Only: [2]string{"layout", "quad"}, Always: true},
	{ID: "brakes", Text: "Brakes: clean their parts with brake cleaner as its maker says, never with spirit, petrol or oil. Bleed them, look for leaks, and try them at walking pace before you ride. If you are not trained, have a workshop do it.",
		Source: practice, Kinds: []string{"brake", "brakes", "pads", "shoes", "linings", "hose", "hoses", "calliper", "callipers", "disc", "discs", "drum", "drums", "master"}, Touches: []string{"brakes."}},
	{ID: "wheels", Text: "Wheels and tyres: seat a bead with soapy water and a clip-on chuck, stand clear, and never go above the pressure moulded on the tyre. Tighten wheel and axle nuts to the maker's torque, with new split pins or lock plates, and again after the first ride.",
		Source: "the limit moulded on the tyre; common practice", Kinds: []string{"tyre", "tyres", "wheel", "wheels", "rim", "rims", "axle", "axles", "hub", "hubs", "spacers"}, Touches: []string{"wheels.", "geometry.track_"}},
	{ID: "chain", Text: "Chain: engine off whenever a hand is near it; turn the wheel by hand, never under power. Fit the chain guard again before you ride.",
		Source: practice, Kinds: []string{"sprocket", "sprockets", "chain"}, Touches: []string{"driveline.sprockets", "driveline.chain", "driveline.sprocket_centres"}},
	{ID: "welding", Text: "Welding: by a welder qualified for the material; battery disconnected, tank off and vented, no brake cleaner near (heated, it gives off poison), eyes and lungs protected. A frame that cracks at speed can kill.",
		Source: "29 CFR 1910.252; common practice", Kinds: []string{"welding", "weld", "brazing", "gusset", "gussets", "frame"}, Keeps: []string{"frame", "swingarm"}},
	{ID: "springs", Text: "Compressed springs: use a proper compressor, stand aside, never face the end of a loaded spring. Find a rate on a spring tester or at a shop, never by hand on a bathroom scale: 20 mm of a spring of 100 N/mm hold 200 kg.",
		Source: practice, Kinds: []string{"spring", "springs"}, Touches: []string{"suspension.front.spring_", "suspension.rear.spring_", "suspension.front.preload", "suspension.rear.preload", "engine.valve_train.", "driveline.clutch.spring_"}},
	{ID: "gas", Text: "Gas-charged dampers: never open one under pressure, never heat or weld one; nitrogen only, by a shop with the equipment.",
		Source: practice, Kinds: []string{"shock", "shocks", "damper", "dampers"}, Touches: []string{"suspension.front.gas_", "suspension.rear.gas_", "suspension.rear.shaft", "suspension.rear.body_bore"}, Keeps: []string{"shock", "shocks"}},
	{ID: "fuel", Text: "Fuel: drain it cold and outdoors into a closed can, away from flames, sparks and lamps; its vapour runs along the ground, and an emptied tank can still explode. Keep a fire extinguisher at hand.",
		Source: "UK Health and Safety Executive, staying safe while storing and using petrol", Kinds: []string{"carburettor", "carburettors", "tank", "fuel", "jets"}, Touches: []string{"engine.intake.carburettor", "engine.fuel", "tank."}, Keeps: []string{"tank"}},
	{ID: "race-fuel", Text: "Race fuel can poison through skin and lungs (lead, aromatics, alcohol): read its safety data sheet, wear gloves that withstand it, wash at once, never draw it by mouth.",
		Source: "the fuel's safety data sheet", Kinds: []string{"fuel"}, Touches: []string{"engine.fuel"}},
	{ID: "running", Text: "Running engine: its gas kills in a shed even with the doors open, so run it outdoors. Exhausts burn, and a running chain takes fingers.",
		Source: "NIOSH 96-118, carbon monoxide from small petrol engines; common practice", Kinds: []string{"piston", "cam", "cams", "exhaust", "silencer", "ignition", "head", "carburettor"}, Touches: []string{"engine."}, Keeps: []string{"cylinder", "head", "crank", "piston", "engine"}},
	{ID: "dynamometer", Text: "Timing lamp and dynamometer: machine tied down at both ends, nobody behind it, ears and eyes protected, exhaust led outdoors, hands and cables clear of chain, fan and hot pipe.",
		Source: "Motorcycles: Fundamentals, Service, Repair (Goodheart-Willcox 2020), ch. 2; NIOSH 96-118", Kinds: []string{"ignition", "carburettor", "jets", "dynamometer"}, Touches: []string{"engine.ignition_advance", "engine.intake.carburettor", "engine.fuel.lambda"}},
	{ID: "coolant", Text: "Hot coolant scalds: open the cap only when the engine is cold. Coolant is poison to children and animals.",
		Source: practice, Kinds: []string{"radiator", "hoses", "piston", "gasket", "head"}, Touches: []string{"engine."}, Keeps: []string{"cylinder", "head", "engine"}, Only: [2]string{"engine.cooling", "liquid"}},
	{ID: "asbestos", Text: "Old brake shoes, pads, clutch plates and gaskets may hold asbestos, and nobody can tell by looking: never blow, brush or sand their dust dry. Wet it, wipe it up, seal the rag in a bag.",
		Source: "US EPA, Current Best Practices for Preventing Asbestos Exposure Among Brake and Clutch Repair Workers (2007); 29 CFR 1910.1001, appendix F",
		Kinds:  []string{"pads", "shoes", "linings", "brake", "brakes", "clutch", "gasket", "gaskets", "piston", "exhaust"}, Touches: []string{"brakes.", "driveline.clutch", "engine.chamber", "engine.bore", "engine.exhaust"}, Keeps: []string{"cylinder", "head", "engine"}},
	{ID: "coating", Text: "Blasting and coating: the dust harms the lungs and can burn or explode. At a shop with a cabinet and extraction, or with a respirator made for it; never with sand.",
		Source: "29 CFR 1910.94(a); common practice", Kinds: []string{"coating", "paint", "painting", "powder", "blasting", "plating"}},
	{ID: "rules", Text: "Local rules, the class rules, the maker's manual and licensed practice come before anything printed here.", Source: "common practice", Always: true},
}

const (
	rollOver       = "Three-wheelers and quads roll over. No figure here is a promise of safety: wear a helmet and full protection, carry nobody, ride on closed ground, and try every change slowly first."
	rollOverSource = "US Consumer Product Safety Commission, 71 FR 45904 (2006) and safety tips for off-road vehicles (2016)"
)

// CaresFor are those that a build's machine and parts call for. What a part is called does not count: what it sets,
// adds to or removes does, its kind, and, where the kind says nothing, what it keeps busy.
func CaresFor(b *Build) []Care {
	var list []Care
	for _, c := range Cares {
		if c.Only[0] != "" && b.Text(c.Only[0]) != c.Only[1] {
			continue
		}
		if c.Always || slices.ContainsFunc(b.Parts, c.meant) {
			list = append(list, c)
		}
	}
	return list
}

// CareNamed is one of them by its id.
func CareNamed(id string) Care {
	return Cares[slices.IndexFunc(Cares, func(c Care) bool { return c.ID == id })]
}

// meant says that fitting a part is such work.
func (c Care) meant(part *Part) bool {
	touched := func(path string) bool {
		return slices.ContainsFunc(c.Touches, func(beginning string) bool { return strings.HasPrefix(path, beginning) })
	}
	switch {
	case c.ofKind(part):
		return true
	case slices.ContainsFunc(part.Sets, func(e Entry) bool { return touched(e.Path) }), slices.ContainsFunc(part.Adds, func(e Entry) bool { return touched(e.Path) }),
		slices.ContainsFunc(part.Removes, func(r Reference) bool { return touched(r.Name) }), slices.ContainsFunc(part.Lists, touched):
		return true
	}
	kindSays := slices.ContainsFunc(Cares, func(other Care) bool { return other.ofKind(part) })
	return !kindSays && slices.Contains(c.Keeps, part.Keeps)
}

func (c Care) ofKind(part *Part) bool {
	words := strings.FieldsFunc(strings.ToLower(part.Kind), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' })
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(c.Kinds, w) })
}
