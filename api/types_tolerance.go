package api

// Tolerance is the success that is left when placement and orientation err, and the largest errors that are surely
// tolerated. Poses that no trial is near count as failures in what is called sure.
type Tolerance struct {
	Condition         Condition         `json:"condition"`
	Orientation       Orientation       `json:"orientation" doc:"Where the hand is sent"`
	Closing           float64           `json:"closing" doc:"Closing command, 0 to 1"`
	Target            float64           `json:"target"`
	LineError         LineError         `json:"line_error"`
	Sentence          string            `json:"sentence"`
	Tolerated         bool              `json:"tolerated" doc:"The line's errors are tolerated with 95 % probability"`
	Stated            ToleranceValue    `json:"stated" doc:"Under the line's errors"`
	LargestMultiple   ToleranceLimit    `json:"largest_multiple" doc:"Of the line's errors together"`
	LargestPositionMM ToleranceLimit    `json:"largest_position_mm" doc:"At the line's orientation error"`
	LargestAngleDeg   ToleranceLimit    `json:"largest_angle_deg" doc:"At the line's placement error"`
	Frontier          []ToleranceCorner `json:"frontier" doc:"Largest tolerated placement error by orientation error"`
	Surface           ToleranceSurface  `json:"surface"`
	Warnings          []string          `json:"warnings"`
	Mark              int64             `json:"mark"`
	Invented          bool              `json:"invented"`
}

// ToleranceValue is the success under one pair of errors.
type ToleranceValue struct {
	PositionMM   float64 `json:"position_mm" doc:"Standard deviation along each axis"`
	AngleDeg     float64 `json:"angle_deg" doc:"Root mean square turn"`
	P            float64 `json:"p"`
	PLow         float64 `json:"p_low" doc:"5 % quantile"`
	PHigh        float64 `json:"p_high" doc:"95 % quantile"`
	PTarget      float64 `json:"p_target" doc:"Probability that success reaches the target, poses never tried counted as failures"`
	UntriedShare float64 `json:"untried_share" doc:"Share of the errors that lead to poses never tried"`
}

// ToleranceLimit is a largest error and why it ends there.
type ToleranceLimit struct {
	Largest float64 `json:"largest"`
	EndsBy  string  `json:"ends_by" enum:"target,trials,range,none" doc:"target: success falls below it; trials: nothing was tried beyond; range: nothing larger was looked at; none: not tolerated at all"`
}

// ToleranceCorner is one corner of the frontier.
type ToleranceCorner struct {
	PositionMM float64 `json:"position_mm"`
	AngleDeg   float64 `json:"angle_deg"`
	EndsBy     string  `json:"ends_by" enum:"target,trials,range,none"`
}

// ToleranceSurface holds values on a grid: row by row, one row an orientation error, one column a placement error.
type ToleranceSurface struct {
	PositionsMM  []float64 `json:"positions_mm"`
	AnglesDeg    []float64 `json:"angles_deg"`
	P            []float64 `json:"p"`
	PLow         []float64 `json:"p_low"`
	PHigh        []float64 `json:"p_high"`
	PTarget      []float64 `json:"p_target"`
	UntriedShare []float64 `json:"untried_share"`
}
