package api

// Aim says what a study's trials are to settle, and how more are added to its plan.
type Aim struct {
	Question     string  `json:"question" enum:"best,border,rank,measure" doc:"best: the best region; border: where the target is reached; rank: the order of the ways of picking; measure: the success of the region that would be chosen"`
	Batch        int     `json:"batch" minimum:"1" maximum:"200" doc:"Trials proposed at once"`
	FirstCover   int     `json:"first_cover,omitempty" minimum:"0" maximum:"1000" doc:"Trials of each way of picking that are spread evenly first; 0: as many as leave no gap"`
	Tolerance    float64 `json:"tolerance" minimum:"0.0001" maximum:"0.5" doc:"Loss (of success; for border the share of orientations on the wrong side) below which stopping is suggested"`
	ValuePerPick float64 `json:"value_per_pick,omitempty" minimum:"0" doc:"Money, what a good pick is worth beside a failed one; left out: from the item's figures"`
}

// NextTrials says where a study's question stands, and which trials to add to its plan.
type NextTrials struct {
	Aim      Aim          `json:"aim"`
	Trials   int          `json:"trials" doc:"Trials that count, without reference trials"`
	Pending  int          `json:"pending" doc:"Planned runs that are not carried out; what they will tell is counted"`
	PlanEnd  int          `json:"plan_end" doc:"The plan's last run"`
	Known    bool         `json:"known" doc:"false while a way of picking has no trial: then there is no loss to state"`
	Choices  []NextChoice `json:"choices" doc:"What would be answered now"`
	Loss     NextLoss     `json:"loss" doc:"What choosing now is expected to lose"`
	LossUnit string       `json:"loss_unit" enum:"success,share of orientations"`
	Worth    float64      `json:"worth_per_pick,omitempty" doc:"Money that a share of success of 1 is worth, a pick; left out when not known"`
	Enough   bool         `json:"enough" doc:"The loss is below the tolerance with 95 % probability: stopping is suggested, the person decides"`
	Text     string       `json:"text"`
	Why      string       `json:"why,omitempty" doc:"Why this set-up, or why nothing is proposed"`
	Runs     []PlannedRun `json:"runs" doc:"The proposed runs, reference runs included"`
	History  []LossPoint  `json:"history,omitempty" doc:"Only when asked for"`
	Invented bool         `json:"invented"`
}

// NextChoice is what would be answered now.
type NextChoice struct {
	Group       string       `json:"group,omitempty" doc:"What it is chosen for, where a study has several items or settings"`
	Hand        string       `json:"hand"`
	Item        string       `json:"item"`
	Setting     string       `json:"setting"`
	Strategy    string       `json:"strategy"`
	Orientation *Orientation `json:"orientation,omitempty" doc:"Middle of the region; none for a border"`
	Success     float64      `json:"success" doc:"Expected; for a border the share of orientations that reach the target"`
	Low         float64      `json:"success_low" doc:"5 % quantile"`
	High        float64      `json:"success_high" doc:"95 % quantile"`
	Share       float64      `json:"share,omitempty" doc:"border: share of orientations that would be said to reach the target"`
	Order       []NextRank   `json:"order,omitempty" doc:"rank: best first"`
}

// NextRank is a place in an order.
type NextRank struct {
	Hand     string  `json:"hand"`
	Strategy string  `json:"strategy"`
	Success  float64 `json:"success" doc:"Expected of its best region"`
}

// NextLoss is a loss with its 5 % and 95 % quantiles.
type NextLoss struct {
	Expected float64 `json:"expected"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
}

// LossPoint is the loss after so many trials.
type LossPoint struct {
	Trials   int     `json:"trials"`
	Expected float64 `json:"expected"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
}

// ExtendPlan asks to add the proposed trials to the plan.
type ExtendPlan struct {
	Trials  int `json:"trials,omitempty" minimum:"0" maximum:"200" doc:"How many, reference runs not counted; the aim's batch when left out"`
	PlanEnd int `json:"plan_end" minimum:"0" doc:"The plan's last run that you saw; a conflict when the plan has grown since"`
}
