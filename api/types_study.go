package api

// Orientation is a hand orientation: the quaternion that turns the hand from its reference pose (palm straight down,
// fingers' opening along x) into its pose, and the same as angles. On input give either the four quaternion
// components or the three angles.
type Orientation struct {
	QW         *float64 `json:"qw,omitempty"`
	QX         *float64 `json:"qx,omitempty"`
	QY         *float64 `json:"qy,omitempty"`
	QZ         *float64 `json:"qz,omitempty"`
	TiltDeg    *float64 `json:"tilt_deg,omitempty"`
	AzimuthDeg *float64 `json:"azimuth_deg,omitempty"`
	RollDeg    *float64 `json:"roll_deg,omitempty"`
}

// Step is one phase of a strategy.
type Step struct {
	Do    string `json:"do"`
	Until string `json:"until" doc:"The condition that ends the step"`
}

// Strategy is a motion program with its steps.
type Strategy struct {
	Kind  string `json:"kind" enum:"free,surface-guided,wall-guided,edge-pull,scoop"`
	Steps []Step `json:"steps,omitempty" doc:"Filled with the usual steps of the kind when empty"`
}

// OrientationPlan says which orientations a study tries.
type OrientationPlan struct {
	Kind       string    `json:"kind" enum:"rings,even"`
	TiltMaxDeg float64   `json:"tilt_max_deg,omitempty"`
	Count      int       `json:"count,omitempty"`
	TiltsDeg   []float64 `json:"tilts_deg,omitempty"`
	Azimuths   []int     `json:"azimuths,omitempty" doc:"Azimuths on each ring: one number for all rings, or one a ring"`
	RollsDeg   []float64 `json:"rolls_deg,omitempty"`
}

// OffsetPlan says how the item's placement offset is varied on purpose.
type OffsetPlan struct {
	Kind     string  `json:"kind" enum:"none,gaussian,disc"`
	SigmaXMM float64 `json:"sigma_x_mm,omitempty"`
	SigmaYMM float64 `json:"sigma_y_mm,omitempty"`
	RadiusMM float64 `json:"radius_mm,omitempty"`
}

// Reference is the condition repeated at each block's start and end.
type Reference struct {
	Orientation Orientation `json:"orientation"`
	Strategy    string      `json:"strategy"`
	Closing     float64     `json:"closing"`
}

// LineError is what the line will add to every pick.
type LineError struct {
	AngleDeg   float64 `json:"angle_deg" doc:"Root mean square turn between asked and actual hand orientation"`
	PositionMM float64 `json:"position_mm" doc:"Standard deviation of the item's placement along x and along y"`
}

// Study is a question with its conditions.
type Study struct {
	ID            string          `json:"id,omitempty"`
	Name          string          `json:"name"`
	Question      string          `json:"question"`
	State         string          `json:"state,omitempty" enum:"draft,planned,running,finished" readOnly:"true"`
	Hands         []string        `json:"hands"`
	Items         []string        `json:"items"`
	Settings      []string        `json:"settings"`
	Strategies    []Strategy      `json:"strategies"`
	Orientations  OrientationPlan `json:"orientations"`
	ClosingLevels []float64       `json:"closing_levels"`
	Offset        OffsetPlan      `json:"offset"`
	Replicates    int             `json:"replicates"`
	BlockSize     int             `json:"block_size"`
	Reference     Reference       `json:"reference"`
	References    int             `json:"references" doc:"Reference trials at each block's start, and as many at its end"`
	Seed          string          `json:"seed" doc:"Decimal unsigned 64-bit number; drawn when empty"`
	TrialS        float64         `json:"trial_s" doc:"Seconds for one trial with its reset"`
	ChangeS       float64         `json:"change_s" doc:"Seconds for changing a hand, a setting or an item"`
	LineError     LineError       `json:"line_error"`
	Target        float64         `json:"target" doc:"Success asked for, 0 to 1"`
	Aim           *Aim            `json:"aim,omitempty" doc:"What its trials are to settle; the usual aim, or on an edit the stored one, when left out"`
	Note          string          `json:"note,omitempty"`
	Meta
}

// StudyRow is a study in a list.
type StudyRow struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	State   string `json:"state"`
	Planned int    `json:"planned" doc:"Planned runs"`
	Done    int    `json:"done" doc:"Planned runs carried out"`
	Trials  int    `json:"trials" doc:"Trials that count"`
	Held    int    `json:"held"`
	Meta
}

// PlannedRun is one line of a plan.
type PlannedRun struct {
	Order       int         `json:"order"`
	Block       int         `json:"block"`
	WholePlot   int         `json:"whole_plot"`
	Hand        string      `json:"hand"`
	Item        string      `json:"item"`
	Setting     string      `json:"setting"`
	Strategy    string      `json:"strategy"`
	Cell        int         `json:"cell" doc:"Number of the orientation in the plan's list, from 0; -1: reference trial"`
	Orientation Orientation `json:"orientation"`
	Closing     float64     `json:"closing"`
	OffsetXMM   float64     `json:"offset_x_mm"`
	OffsetYMM   float64     `json:"offset_y_mm"`
	Replicate   int         `json:"replicate"`
	Reference   bool        `json:"reference"`
	Done        bool        `json:"done"`
	Why         string      `json:"why,omitempty" doc:"Why the run was added to the plan; none for runs that the plan's seed drew"`
}

// OrientationPreview shows which orientations a plan will try.
type OrientationPreview struct {
	Points      []Orientation `json:"points"`
	Folded      int           `json:"folded" doc:"Orientations left out because symmetry makes them equal to another"`
	CoveringDeg float64       `json:"covering_deg" doc:"Largest turn from any orientation within the tilt limit to the nearest point"`
	SeparateDeg float64       `json:"separation_deg" doc:"Smallest turn between two points"`
	Symmetry    string        `json:"symmetry" doc:"The symmetry used, in words"`
}

// PlanSummary tells a plan's size.
type PlanSummary struct {
	Study         string             `json:"study"`
	Seed          string             `json:"seed"`
	Runs          int                `json:"runs" doc:"All runs with reference runs"`
	ReferenceRuns int                `json:"reference_runs"`
	Blocks        int                `json:"blocks"`
	WholePlots    int                `json:"whole_plots"`
	Changes       int                `json:"changes" doc:"Times that a hand, a setting or an item is changed"`
	Hours         float64            `json:"hours" doc:"Estimated bench hours"`
	Orientations  OrientationPreview `json:"orientations"`
	Notes         []string           `json:"notes" doc:"What the analysis must keep in mind"`
}

// SampleSizeQuestion asks how many trials are needed.
type SampleSizeQuestion struct {
	Kind       string  `json:"kind" enum:"interval,compare,prove"`
	Success    float64 `json:"success,omitempty" doc:"interval: success expected; compare: success of the first strategy"`
	Other      float64 `json:"other,omitempty" doc:"compare: success of the second strategy"`
	HalfWidth  float64 `json:"half_width,omitempty" doc:"interval: half of the interval's width"`
	Confidence float64 `json:"confidence" doc:"0 to 1, such as 0.95"`
	Power      float64 `json:"power,omitempty" doc:"compare: chance to see the difference"`
	Prove      float64 `json:"prove,omitempty" doc:"prove: success rate to prove"`
	Failures   int     `json:"failures,omitempty" doc:"prove: failures allowed"`
}

// SampleSize answers.
type SampleSize struct {
	Trials  int             `json:"trials" doc:"Trials needed (for each strategy when two are compared)"`
	Text    string          `json:"text" doc:"The answer in one sentence"`
	Methods []SampleSizeRow `json:"methods" doc:"What each method asks for"`
}

// SampleSizeRow is one method's answer.
type SampleSizeRow struct {
	Method string  `json:"method"`
	Trials float64 `json:"trials"`
	Note   string  `json:"note,omitempty"`
}
