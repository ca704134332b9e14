package api

import "time"

// FeelInfo is what is known of how a hand's wrist should move by what the hand touches first.
type FeelInfo struct {
	Conditions []FeelCondition `json:"conditions" doc:"What studies try with the hand"`
	Running    *FeelRunning    `json:"running,omitempty"`
	Elsewhere  bool            `json:"elsewhere" doc:"Another hand is learning"`
	Failed     string          `json:"failed,omitempty" doc:"Why the last question gave nothing"`
	Answer     *FeelAnswer     `json:"answer,omitempty" doc:"The newest; kept as long as the program runs"`
}

// FeelCondition is a condition in which the hand can learn, with what its study does.
type FeelCondition struct {
	Item       string  `json:"item"`
	Setting    string  `json:"setting"`
	Strategy   string  `json:"strategy"`
	Study      string  `json:"study"`
	Closing    float64 `json:"closing" doc:"The study's largest closing command"`
	TiltMaxDeg float64 `json:"tilt_max_deg"`
	Simulable  bool    `json:"simulable"`
	Fault      string  `json:"fault,omitempty" doc:"Why the hand can not learn there in simulation"`
}

// FeelRunning is how far the work is.
type FeelRunning struct {
	Stage   string  `json:"stage"`
	Done    int     `json:"done" doc:"Simulated trials"`
	Of      int     `json:"of"`
	Seconds float64 `json:"seconds" doc:"Since it was begun"`
}

// FeelStart asks for a rule: learnt in simulation, or from guided trials and tried in simulation where a condition is named.
type FeelStart struct {
	Item        string   `json:"item,omitempty" doc:"Item, setting and strategy together name a condition; all three may be left out with a table"`
	Setting     string   `json:"setting,omitempty"`
	Strategy    string   `json:"strategy,omitempty"`
	Guided      string   `json:"guided,omitempty" maxLength:"4000000" doc:"CSV of trials in which a person guided the hand, docs/formats.md; when left out the hand learns in simulation"`
	GuidedName  string   `json:"guided_name,omitempty" maxLength:"200" doc:"What the table is called"`
	Learn       int      `json:"learn,omitempty" minimum:"20" maximum:"20000" default:"600" doc:"Simulated trials to learn from"`
	Test        int      `json:"test,omitempty" minimum:"20" maximum:"20000" default:"300" doc:"Further trials, each tried with the rule and without"`
	PlacementMM float64  `json:"placement_mm,omitempty" exclusiveMinimum:"0" maximum:"100" default:"15" doc:"Standard deviation of the item's place along x and along y"`
	TiltMaxDeg  *float64 `json:"tilt_max_deg,omitempty" minimum:"0" maximum:"90" doc:"Largest tilt of the approach directions; 20 when left out"`
	Closing     *float64 `json:"closing,omitempty" minimum:"0" maximum:"1" doc:"Closing command; 0.8 when left out"`
	Direction   bool     `json:"direction,omitempty" doc:"Go by the direction in which the item lies from the pad as well, for pads that tell it"`
	Seed        string   `json:"seed,omitempty" doc:"The same seed gives the same answer; 1 when left out"`
}

// FeelAnswer is a rule and what it gains.
type FeelAnswer struct {
	From        string       `json:"from" enum:"simulated,guided"`
	GuidedName  string       `json:"guided_name,omitempty"`
	Tried       bool         `json:"tried" doc:"It was tried in simulation, and there is a strategy with it to download"`
	Item        string       `json:"item,omitempty"`
	Setting     string       `json:"setting,omitempty"`
	Strategy    string       `json:"strategy,omitempty"`
	PlacementMM float64      `json:"placement_mm"`
	TiltMaxDeg  float64      `json:"tilt_max_deg"`
	Closing     float64      `json:"closing"`
	Seed        string       `json:"seed"`
	Sentence    string       `json:"sentence"`
	Trials      int          `json:"trials" doc:"Learnt from"`
	Touched     int          `json:"touched" doc:"Of these, trials that taught something"`
	BeforeMM    float64      `json:"before_mm" doc:"Root mean square of where the palm stands beside the item"`
	AfterMM     float64      `json:"after_mm" doc:"The same after the rule, in trials that it was not learnt from"`
	Rule        []FeelAdvice `json:"rule" doc:"By finger and link; each finger's own entry before those of its links"`
	ByDirection bool         `json:"by_direction" doc:"The rule goes by the direction of the touch as well"`
	How         []string     `json:"how" doc:"Whether place and direction of the touch would tell more, where the rule does not go by them"`
	Gain        *FeelGain    `json:"gain,omitempty"`
	Guided      *FeelGuided  `json:"guided,omitempty"`
	Hand        *FeelHand    `json:"hand,omitempty" doc:"The hand as it stands when it touches, to draw the rule on"`
	Warnings    []string     `json:"warnings"`
	Answered    time.Time    `json:"answered"`
}

// FeelAdvice is what the wrist does when one link, or any other of a finger, is touched first. Intervals (± half) hold 95 %.
type FeelAdvice struct {
	Finger       int        `json:"finger" doc:"From 1; 0: the palm"`
	Link         int        `json:"link" doc:"From 1; 0: any of the finger's without an entry of its own"`
	Touched      string     `json:"touched" doc:"In words"`
	Trials       int        `json:"trials"`
	TooFew       bool       `json:"too_few"`
	AtCommand    float64    `json:"at_command" doc:"Mean closing command of the touches"`
	MoveMM       [2]float64 `json:"move_mm" doc:"Along the palm's x and y, for a touch at that command"`
	MoveHalfMM   [2]float64 `json:"move_half_mm"`
	PerCommandMM [2]float64 `json:"per_command_mm" doc:"More for each unit of command that a touch comes later"`
	DirectionDeg float64    `json:"direction_deg" doc:"Mean direction of the touches, in which the item lies from the pad, from the palm's x towards its y; 0 when the rule does not go by it"`
	LessMM       [2]float64 `json:"less_mm" doc:"The move when the direction is 30° less than that"`
	MoreMM       [2]float64 `json:"more_mm" doc:"The move when it is 30° more"`
	TurnDeg      float64    `json:"turn_deg" doc:"About the palm's z, from x towards y, after the move"`
	TurnHalfDeg  float64    `json:"turn_half_deg"`
}

// FeelGain is the success of both ways on the same items in the same places, none of which the rule was learnt from.
type FeelGain struct {
	Trials   int     `json:"trials"`
	With     float64 `json:"with" doc:"Share held by the strategy that feels first"`
	Without  float64 `json:"without"`
	Gain     float64 `json:"gain"`
	Low      float64 `json:"low" doc:"Of the gain, 95 %"`
	High     float64 `json:"high"`
	Both     int     `json:"both"`
	OnlyWith int     `json:"only_with"`
	OnlyOwn  int     `json:"only_without"`
	Neither  int     `json:"neither"`
	P        float64 `json:"p" doc:"Exact McNemar test"`
	Verdict  string  `json:"verdict" enum:"helps,harms,chance"`
}

// FeelGuided is what guided trials say beside the rule.
type FeelGuided struct {
	Trials  int       `json:"trials"`
	NotHeld int       `json:"not_held" doc:"They teach nothing"`
	TooFew  []FeelFew `json:"too_few"`
}

// FeelFew is a finger that was touched first in too few trials that held.
type FeelFew struct {
	Touched string `json:"touched"`
	Trials  int    `json:"trials"`
}

// FeelHand is the hand closed on nothing as far as the mean touch, in the palm's frame: z out of the palm.
type FeelHand struct {
	PalmRadiusMM float64    `json:"palm_radius_mm"`
	Fingers      []string   `json:"fingers"`
	Command      float64    `json:"command"`
	Links        []FeelLink `json:"links" doc:"By finger, from the palm on"`
}

// FeelLink is a link, a capsule.
type FeelLink struct {
	Finger   int        `json:"finger" doc:"From 1"`
	Link     int        `json:"link" doc:"From 1"`
	RadiusMM float64    `json:"radius_mm"`
	FromMM   [3]float64 `json:"from_mm"`
	ToMM     [3]float64 `json:"to_mm"`
}

// FeelTable is a table of guided trials as text.
type FeelTable struct {
	Guided string `json:"guided"`
}
