package handtest

import "holdfast/readings"

// Kinds returns the tests in the order of a hand's sheet.
func Kinds() []Kind {
	number := func(name, meaning string) readings.Column { return readings.Column{Name: name, Meaning: meaning} }
	positive := func(name, meaning string) readings.Column {
		return readings.Column{Name: name, Meaning: meaning, Positive: true}
	}
	natural := func(name, meaning string) readings.Column {
		return readings.Column{Name: name, Meaning: meaning, Natural: true}
	}
	text := func(name, meaning string, words ...string) readings.Column {
		return readings.Column{Name: name, Meaning: meaning, Text: true, Words: words}
	}
	unit := func(c readings.Column) readings.Column { c.AnyUnit = true; return c }
	maybe := func(c readings.Column) readings.Column { c.Optional = true; return c }
	return []Kind{
		{"closing", "Free closing and opening", []readings.Column{natural("cycle", "number of the cycle"), text("direction", "which way the hand moves", "closing", "opening"),
			number("time_s", "time, rising in a cycle"), number("command", "closing command, 0 to 1"), number("aperture_mm", "opening between the fingertips")}, closing},
		{"strength", "Finger strength", []readings.Column{text("finger", "which finger"), natural("peak_force_N", "largest force of a push against a fixed load cell, finger straight or in the pose stated")}, strength},
		{"grip", "Grip strength against size", []readings.Column{positive("diameter_mm", "diameter of the split cylinder"), natural("force_N", "force between its halves, fully closed")}, grip},
		{"payload", "Payload and resistance to slip", []readings.Column{maybe(text("setup", "item, pose and surface")), positive("load_N", "pull at which the item slipped, or the largest applied"), text("end", "how the pull ended", "slipped", "held")}, payload},
		{"touch", "Touch sensitivity", []readings.Column{natural("force_N", "force of a touch; 0 where nothing touched"), text("told", "whether the hand told a touch", "yes", "no")}, touch},
		{"stiffness", "Force and deflection by direction", []readings.Column{text("direction", "direction of the push, in the hand's frame"), natural("cycle", "number of the cycle"), text("branch", "which way the deflection goes", "loading", "unloading"),
			number("deflection_mm", "deflection"), number("force_N", "force")}, stiffness},
		{"bending", "Free bending against pressure", []readings.Column{maybe(text("finger", "which finger")), positive("pressure_kPa", "pressure above the surroundings"), natural("angle_deg", "angle between the finger's root and tip, bending freely")}, bending},
		{"blocking", "Blocked tip force against pressure", []readings.Column{maybe(text("finger", "which finger")), text("bench", "guided: a rail keeps the finger straight; tip-held: only its tip is held", "guided", "tip-held"),
			positive("pressure_kPa", "pressure above the surroundings"), natural("force_N", "force of the tip on the load cell")}, blocking},
		{"tendon", "Tendon travel, tension and bending", []readings.Column{text("direction", "which way the tendon moves", "closing", "opening"), number("travel_mm", "tendon drawn, at the finger"),
			number("angle_deg", "by how much the finger's last link has turned"), natural("tension_N", "tension at the finger's root")}, tendon},
		{"relaxation", "Relaxation at a held deflection", []readings.Column{natural("time_s", "time since the deflection began to rise"), number("force_N", "force")}, relaxation},
		{"repeatability", "Repeatability and reproducibility", []readings.Column{text("group", "specimen, operator or bench"), maybe(text("operator", "who measured, where all measured all groups equally often, twice or more")),
			unit(number("value", "the reading, one unit throughout; the name may carry it, as value_N"))}, repeatability},
		{"wear", "Drift over cycles", []readings.Column{natural("cycles", "cycles done so far"), unit(number("value", "the reading, one unit throughout; the name may carry it, as value_N"))}, wear},
		{"life", "Life", []readings.Column{positive("cycles", "cycles at failure, or done so far"), text("end", "how the run ended", "failed", "running")}, life},
		{"cost", "Cost of a pick", []readings.Column{text("hand", "which hand"), positive("price", "price of the hand or of the part that wears, in money"), positive("life_picks", "picks it lasts"),
			maybe(positive("life_low_picks", "lower limit of them")), maybe(positive("life_high_picks", "upper limit of them")), maybe(natural("upkeep_per_pick", "cleaning and spare parts of a pick, in money; a row for each time they were reckoned up")),
			natural("energy_J_per_pick", "energy of a pick; a row for each reading of the meter"), natural("energy_price_per_kWh", "price of energy, in money")}, cost},
	}
}
