package asked

import "shakedown/machine"

// Cautions are what goes with an answer about riding a build: what holds for its layout, and the kinds of work that the
// answer may lead to.
func Cautions(b *machine.Build, work ...string) []string {
	var list []string
	bare := *b
	bare.Parts = nil
	always := machine.CaresFor(&bare)
	for _, c := range always[:len(always)-1] {
		list = append(list, c.Text)
	}
	for _, id := range work {
		list = append(list, machine.CareNamed(id).Text)
	}
	return append(list, always[len(always)-1].Text) // local rules, last
}

// Riding are the cautions of a page about riding the answer's build, its gearing and what its parts are worth.
func (a *Answer) Riding() []string { return append(Cautions(a.Build, "wheels", "chain"), FittingCare) }

// FittingCare says where the cautions of fitting a part stand.
const FittingCare = "What fitting a part can do to people stands under \"Take care\" in the check of a build that has it."

// MeasuringCare are the cautions that hold for measuring as a whole.
func MeasuringCare() []string {
	var list []string
	for _, id := range machine.MeasuringCares {
		list = append(list, machine.CareNamed(id).Text)
	}
	return append(list, machine.CareNamed("rules").Text)
}
