package api

// ModelInfo is what is known of the simulation of a condition.
type ModelInfo struct {
	Condition  Condition       `json:"condition"`
	Simulable  bool            `json:"simulable" doc:"The server has files that describe the condition for simulation"`
	Fault      string          `json:"fault,omitempty" doc:"Why it can not be simulated"`
	Quantities []ModelQuantity `json:"quantities" doc:"What of the simulation the trials can tell"`
	Budget     int             `json:"budget" doc:"How many simulated trials a fit takes unless asked otherwise"`
	Running    *ModelRunning   `json:"running,omitempty"`
	Elsewhere  bool            `json:"elsewhere" doc:"A fit of another condition is under way"`
	Failed     string          `json:"failed,omitempty" doc:"Why the last fit gave nothing"`
	Fit        *ModelFit       `json:"fit,omitempty"`
	Stale      bool            `json:"stale" doc:"Trials were added or changed since the fit"`
	Invented   bool            `json:"invented"`
}

// ModelQuantity is a quantity of the simulation with a wide range for a first guess.
type ModelQuantity struct {
	Name  string  `json:"name" doc:"Its unit stands in it, where it has one"`
	Words string  `json:"words"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Usual bool    `json:"usual" doc:"Fitted unless others are asked for"`
}

// ModelRunning is how far a fit is.
type ModelRunning struct {
	Stage     string  `json:"stage"`
	Simulated int     `json:"simulated"`
	Budget    int     `json:"budget"`
	Seconds   float64 `json:"seconds" doc:"Since it was begun"`
}

// ModelFit is a simulation fitted to the trials of a condition. Intervals hold 90 %.
type ModelFit struct {
	Trials        int              `json:"trials"`
	Held          int              `json:"held"`
	Simulated     int              `json:"simulated"`
	Sentence      string           `json:"sentence"`
	Quantities    []FittedQuantity `json:"quantities"`
	Correlation   [][]float64      `json:"correlation"`
	Tilts         []ModelBand      `json:"tilts"`
	Azimuths      []ModelBand      `json:"azimuths"`
	Disagreements []ModelDisagrees `json:"disagreements"`
	Differs       float64          `json:"differs" doc:"Probability that the bench follows another pattern over orientations"`
	Unlikely      []ModelUnlikely  `json:"unlikely" doc:"Trials that the model finds least likely"`
	Trust         float64          `json:"trust" doc:"0 to 1, that the simulation speaks for the bench"`
	TrialsSaved   float64          `json:"trials_saved" doc:"Trials that the map without the simulation would need in addition; an order of magnitude"`
	OffsetsKnown  bool             `json:"offsets_known"`
	InUse         bool             `json:"in_use" doc:"It is the prior mean of the condition's map"`
	FittedAt      string           `json:"fitted_at" format:"date-time"`
	Seed          string           `json:"seed"`
	Warnings      []string         `json:"warnings"`
}

// FittedQuantity is what the trials say about a quantity.
type FittedQuantity struct {
	Name      string  `json:"name"`
	Words     string  `json:"words"`
	Mean      float64 `json:"mean"`
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
	PriorLow  float64 `json:"prior_low"`
	PriorHigh float64 `json:"prior_high"`
	Told      float64 `json:"told" doc:"0 to 1, the share of the spread before that the trials took away"`
}

// ModelBand is a range of an angle with shares that held.
type ModelBand struct {
	FromDeg      float64 `json:"from_deg"`
	ToDeg        float64 `json:"to_deg"`
	Trials       int     `json:"trials"`
	Held         int     `json:"held"`
	Observed     float64 `json:"observed"`
	ObservedLow  float64 `json:"observed_low"`
	ObservedHigh float64 `json:"observed_high"`
	Expected     float64 `json:"expected" doc:"By the fitted simulation"`
	ExpectedLow  float64 `json:"expected_low" doc:"With the luck of as many trials"`
	ExpectedHigh float64 `json:"expected_high"`
}

// ModelDisagrees is a set of trials that held surprisingly often or seldom.
type ModelDisagrees struct {
	Sentence string  `json:"sentence"`
	Chance   float64 `json:"chance" doc:"Of as much anywhere, if the simulation were right"`
}

// ModelUnlikely is a trial that ended otherwise than the model expects.
type ModelUnlikely struct {
	Trial       int64       `json:"trial"`
	Orientation Orientation `json:"orientation"`
	Outcome     string      `json:"outcome"`
	Chance      float64     `json:"chance"`
}

// ModelStart asks for a fit.
type ModelStart struct {
	Quantities   []ModelRange `json:"quantities,omitempty" maxItems:"6" doc:"The usual ones in their usual ranges when left out"`
	Budget       int          `json:"budget,omitempty" minimum:"500" maximum:"200000" doc:"Simulated trials"`
	Seed         string       `json:"seed,omitempty" doc:"The same seed gives the same answer; 1 when left out"`
	StepMs       float64      `json:"step_ms,omitempty" minimum:"0.1" maximum:"4" doc:"Time step of the simulation; 2 when left out"`
	OffsetsKnown bool         `json:"offsets_known" doc:"The items lay where the trials say; else the position error stands for it"`
}

// ModelRange is a quantity with its range.
type ModelRange struct {
	Name string  `json:"name"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// ModelUse says whether the fit is the prior mean of the map.
type ModelUse struct {
	InUse bool `json:"in_use"`
}
