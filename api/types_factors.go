package api

// Factors says how everything that was varied in a study moves success, and what matters.
type Factors struct {
	Sentence     string         `json:"sentence" doc:"What matters, in plain words"`
	Trials       int            `json:"trials"`
	Held         int            `json:"held"`
	Terms        []FactorTerm   `json:"terms" doc:"What was lost without each, most first where it was scored"`
	Effects      []FactorEffect `json:"effects"`
	Scored       bool           `json:"scored" doc:"False: too few trials or groups to say what matters"`
	ScoredBy     string         `json:"scored_by" doc:"What was kept together in a fold: blocks or orientations"`
	Folds        int            `json:"folds"`
	LogScore     float64        `json:"log_score" doc:"Mean logarithm of the probability given to what happened, per trial not seen"`
	BaseLogScore float64        `json:"base_log_score" doc:"The same for the plain success rate"`
	Level        float64        `json:"level" doc:"Of all intervals"`
	Warnings     []string       `json:"warnings"`
	ItemFeatures bool           `json:"item_features" doc:"Size and mass of the items, from the catalogue, are among the terms"`
	Offered      bool           `json:"item_features_offered" doc:"The trials have items of different size or mass, so item_features can be asked for"`
	Mark         int64          `json:"mark" doc:"Grows with every entry of the study"`
	Invented     bool           `json:"invented"`
}

// FactorTerm is one term of the model.
type FactorTerm struct {
	Name        string   `json:"name"`
	Drop        float64  `json:"drop" doc:"Fall of the log score per trial not seen when the term is left out; 0 when not scored"`
	DropLow     float64  `json:"drop_low"`
	DropHigh    float64  `json:"drop_high"`
	LeftOutWith []string `json:"left_out_with" doc:"Terms that only deviate from it and were left out with it"`
	Spread      float64  `json:"spread" doc:"Standard deviation over the trials of what it adds to the log-odds"`
}

// FactorEffect is how one term moves success.
type FactorEffect struct {
	Term   string        `json:"term"`
	Kind   string        `json:"kind" enum:"levels,curve,surface"`
	XLabel string        `json:"x_label" doc:"What x is, with its unit; empty for levels"`
	YLabel string        `json:"y_label" doc:"What y is, with its unit; only for surfaces"`
	Points []FactorPoint `json:"points"`
}

// FactorPoint is the effect at one level or value. x and y are mm for offsets and sizes, g for masses, and 0 to 1 for the
// closing command.
type FactorPoint struct {
	Level      string  `json:"level"`
	X          float64 `json:"x"`
	Y          float64 `json:"y"`
	Trials     int     `json:"trials" doc:"At this level; 0 for values"`
	Effect     float64 `json:"effect" doc:"On the log-odds, centred: its mean over the trials is 0"`
	EffectLow  float64 `json:"effect_low"`
	EffectHigh float64 `json:"effect_high"`
	P          float64 `json:"p" doc:"Chance of success with all else as the trials had it"`
	PLow       float64 `json:"p_low"`
	PHigh      float64 `json:"p_high"`
}
