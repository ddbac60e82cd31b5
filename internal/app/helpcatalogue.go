package app

// catalogueRows are what catalogues print, and how a part of a sheet says it.
var catalogueRows = [][]string{
	{"$389.00; 1,250.00; 389,00", "price: $389.00", "in the sheet's currency; of 1,250 alone is asked which it is"},
	{"price on request", "price: on request", "the part counts without a price"},
	{"core charge, exchange core $40", "core_charge: $40", "comes back with the old part: no cost, told beside it"},
	{"ships in 4-6 weeks", "lead: 4-6 weeks", "the plan counts on the long end"},
	{"piston 0.020 over", "sets: {engine.bore: 0.020 over}", "inches; +1 mm and 0.50 mm over too: on the machine's own bore"},
	{"11:1 piston", "sets: {engine.piston_ratio: 11}", "gives the dome, on the machine as found; 0.7 less to 0.2 more until it is measured"},
	{"240° at 0.050 in, LSA 108°, 4° advanced", "sets: {engine.cam.checking_lift: 0.050 in, engine.cam.measured_at: lobe, engine.cam.intake.duration: 240 deg, engine.cam.exhaust.duration: 244 deg, engine.cam.separation: 108 deg, engine.cam.advance: 4 deg}", "gives the events"},
	{"inlet opens 4° ATDC", "sets: {engine.cam.intake.opens: 4 deg ATDC}", "the same as -4 deg"},
	{"lobe lift 0.320 in", "sets: {engine.cam.intake.lobe_lift: 0.320 in}", "times the rocker ratio"},
	{"advertised duration 290°", "sets: {engine.cam.intake.advertised_duration: 290 deg}", "is not used: nobody says at what lift"},
	{"regrind", "sets: {engine.cam.reground: yes, engine.cam.intake.lobe_lift: 7.4 mm}", "the base circle gives what the lobe gains"},
	{"springs 36 lbs/in, seat 60 lbs", "sets: {engine.valve_train.intake.spring_rate: 36 lbs/in, engine.valve_train.intake.seat_load: 60 lbs}", "kg/mm and kg are read as forces where a force stands"},
	{`wheelbase 48 1/2"`, `sets: {geometry.wheelbase: 48 1/2"}`, "inches; fractions as they stand"},
}

func catalogue() Topic {
	return Topic{Words: "What catalogues print, and how a part of a sheet says it. A vendor's whole list goes in with: shakedown add-parts mine.yaml vendor.csv --columns \"name=Item,price=Cost\".",
		Heads: []string{"catalogue", "in a part", "what it does"}, Rows: catalogueRows}
}
