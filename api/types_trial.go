package api

import "time"

// NextRun is the planned run handed out, held for the caller until the lease ends.
type NextRun struct {
	Run        PlannedRun `json:"run"`
	Hand       Hand       `json:"hand"`
	Item       Item       `json:"item"`
	Setting    Setting    `json:"setting"`
	Strategy   Strategy   `json:"strategy"`
	LeaseUntil time.Time  `json:"lease_until"`
	Left       int        `json:"left" doc:"Planned runs not yet carried out, this one included"`
	HoursLeft  float64    `json:"hours_left"`
	Cautions   []string   `json:"cautions"`
}

// Recording names a stored file.
type Recording struct {
	SHA256 string `json:"sha256"`
	Name   string `json:"name"`
	Type   string `json:"type"`
	Size   int64  `json:"size"`
}

// NewTrial logs a trial, or corrects one.
type NewTrial struct {
	Key         string       `json:"key" doc:"Any text that is new for each trial; repeat it when you send the same request again"`
	Corrects    int64        `json:"corrects,omitempty" doc:"Entry that this one replaces; it must be the newest of its history"`
	Order       int          `json:"order,omitempty" doc:"Planned run that was carried out; its conditions are filled in where you leave them out"`
	Hand        string       `json:"hand,omitempty"`
	Item        string       `json:"item,omitempty"`
	Setting     string       `json:"setting,omitempty"`
	Strategy    string       `json:"strategy,omitempty"`
	Orientation *Orientation `json:"orientation,omitempty" doc:"As asked"`
	Measured    *Orientation `json:"measured,omitempty" doc:"As measured"`
	Closing     *float64     `json:"closing,omitempty"`
	OffsetXMM   *float64     `json:"offset_x_mm,omitempty"`
	OffsetYMM   *float64     `json:"offset_y_mm,omitempty"`
	OffsetZMM   *float64     `json:"offset_z_mm,omitempty"`
	PeakForceN  *float64     `json:"peak_force_N,omitempty"`
	DurationS   *float64     `json:"duration_s,omitempty"`
	Outcome     string       `json:"outcome" enum:"held,dropped,slipped,missed,pushed,damaged,stopped,failed,void"`
	VoidReason  string       `json:"void_reason,omitempty"`
	Block       int          `json:"block,omitempty"`
	Operator    string       `json:"operator,omitempty"`
	Note        string       `json:"note,omitempty"`
	Recordings  []string     `json:"recordings,omitempty" doc:"Digests of files that were stored before"`
	StartedAt   *time.Time   `json:"started_at,omitempty"`
}

// Trial is one entry of the record, with how it counts now.
type Trial struct {
	ID          int64        `json:"id"`
	Root        int64        `json:"root" doc:"First entry of the history"`
	Key         string       `json:"key"`
	Corrects    int64        `json:"corrects,omitempty"`
	Order       int          `json:"order,omitempty"`
	Block       int          `json:"block,omitempty"`
	Hand        string       `json:"hand"`
	Item        string       `json:"item"`
	Setting     string       `json:"setting"`
	Strategy    string       `json:"strategy"`
	Orientation Orientation  `json:"orientation"`
	Measured    *Orientation `json:"measured,omitempty"`
	Closing     float64      `json:"closing"`
	OffsetXMM   float64      `json:"offset_x_mm"`
	OffsetYMM   float64      `json:"offset_y_mm"`
	OffsetZMM   float64      `json:"offset_z_mm"`
	PeakForceN  *float64     `json:"peak_force_N,omitempty"`
	DurationS   *float64     `json:"duration_s,omitempty"`
	Outcome     string       `json:"outcome" doc:"As entered"`
	Counted     string       `json:"counted" doc:"As it counts now, with inspections"`
	VoidReason  string       `json:"void_reason,omitempty"`
	Reference   bool         `json:"reference"`
	Proof       string       `json:"proof,omitempty" doc:"Proof run that it belongs to"`
	Operator    string       `json:"operator,omitempty"`
	Note        string       `json:"note,omitempty"`
	Recordings  []Recording  `json:"recordings,omitempty"`
	StartedAt   *time.Time   `json:"started_at,omitempty"`
	RecordedAt  time.Time    `json:"recorded_at"`
	Entries     int          `json:"entries" doc:"How many entries the history has"`
	Inspection  string       `json:"inspection,omitempty" doc:"Newest finding"`
	Repeated    bool         `json:"repeated,omitempty" doc:"The key was known: nothing new was stored"`
}

// Inspection is a later look at an item.
type Inspection struct {
	ID        int64     `json:"id,omitempty" readOnly:"true"`
	Trial     int64     `json:"trial"`
	Key       string    `json:"key"`
	Finding   string    `json:"finding" enum:"sound,damaged"`
	Inspector string    `json:"inspector,omitempty"`
	Note      string    `json:"note,omitempty"`
	SeenAt    time.Time `json:"seen_at"`
	Recorded  time.Time `json:"recorded,omitempty" readOnly:"true"`
}

// History is all that was ever entered about one trial, oldest first.
type History struct {
	Entries     []Trial      `json:"entries"`
	Inspections []Inspection `json:"inspections"`
	Counted     string       `json:"counted"`
}

// Progress tells how a study goes.
type Progress struct {
	Study       string          `json:"study"`
	Planned     int             `json:"planned"`
	Done        int             `json:"done"`
	Left        int             `json:"left"`
	HoursLeft   float64         `json:"hours_left"`
	Trials      int             `json:"trials" doc:"Trials that count, without reference trials"`
	Held        int             `json:"held"`
	Low         float64         `json:"low" doc:"Exact 90 % interval of the share held"`
	High        float64         `json:"high"`
	Blocks      []BlockProgress `json:"blocks"`
	Drift       string          `json:"drift" doc:"What the reference trials say, in one sentence"`
	DriftP      float64         `json:"drift_p" doc:"Two-sided p-value of a trend of the reference trials over blocks; 1 when it can not be tested"`
	Uninspected int             `json:"uninspected" doc:"Held trials of items whose damage shows late, not yet inspected"`
}

// BlockProgress is one block's tally.
type BlockProgress struct {
	Block           int     `json:"block"`
	Planned         int     `json:"planned"`
	Done            int     `json:"done"`
	Trials          int     `json:"trials"`
	Held            int     `json:"held"`
	Low             float64 `json:"low"`
	High            float64 `json:"high"`
	ReferenceTrials int     `json:"reference_trials"`
	ReferenceHeld   int     `json:"reference_held"`
}

// ImportResult tells what an import did, or would do.
type ImportResult struct {
	Rows     int      `json:"rows" doc:"Rows in the file"`
	Stored   int      `json:"stored" doc:"Trials stored now"`
	Repeated int      `json:"repeated" doc:"Trials whose key was already in the record"`
	Ignored  []string `json:"ignored" doc:"Columns not used"`
	DryRun   bool     `json:"dry_run"`
}
