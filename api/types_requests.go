package api

// Plan is a study's plan.
type Plan struct {
	Summary PlanSummary  `json:"summary"`
	Runs    []PlannedRun `json:"runs"`
}

// PreviewQuestion asks which orientations a plan will try for a hand, an item and a setting.
type PreviewQuestion struct {
	Plan    OrientationPlan `json:"plan"`
	Hand    string          `json:"hand"`
	Item    string          `json:"item"`
	Setting string          `json:"setting"`
}

// TrialList is a part of the record.
type TrialList struct {
	Trials []Trial `json:"trials"`
	Total  int     `json:"total" doc:"How many trials match, without the limit"`
}

// Withdrawal takes a card back.
type Withdrawal struct {
	By     string `json:"by"`
	Reason string `json:"reason"`
}

// Change tells that something changed; ask again for what you show.
type Change struct {
	Topic string `json:"topic" doc:"trials, inspections, study, hand, item, setting, card, model or map"`
	Study string `json:"study"`
	ID    string `json:"id"`
}
