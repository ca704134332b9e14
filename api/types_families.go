package api

// Families says what an item would be said to succeed in, by its own trials alone and with what it borrows from the items
// of the lab that were tried with the same hand, setting and strategy in any study.
type Families struct {
	Item         string         `json:"item"`
	Hand         string         `json:"hand"`
	Setting      string         `json:"setting"`
	Strategy     string         `json:"strategy"`
	Sentence     string         `json:"sentence" doc:"What was borrowed and from whom"`
	Change       string         `json:"change" doc:"What that does to the estimate, also where it does nothing"`
	Trials       int            `json:"trials" doc:"The item's own"`
	Held         int            `json:"held"`
	Worth        float64        `json:"borrowed_trials" doc:"Own trials, spread evenly, that would bring as much as is borrowed"`
	OwnShare     float64        `json:"own_share" doc:"Of the information, by the item's own trials; 0 to 1"`
	PRelated     float64        `json:"p_related" doc:"Probability that the other items speak for this one"`
	FamilyWeight float64        `json:"family_weight" doc:"Of what all items say in the estimate; the rest is the item's own trials alone"`
	Donors       []FamilyDonor  `json:"donors" doc:"Largest share first"`
	Members      []FamilyMember `json:"members" doc:"The items with trials, and the one asked for"`
	Surest       FamilyPoint    `json:"surest" doc:"The orientation whose lower limit with the family is highest"`
	Section      []FamilyPoint  `json:"section" doc:"At the azimuth and roll of the surest orientation, by tilt"`
	Mean         FamilyMean     `json:"mean"`
	TiltMaxDeg   float64        `json:"tilt_max_deg" doc:"Largest tilt that was tried"`
	Studies      []string       `json:"studies" doc:"Whose trials are in it"`
	Level        float64        `json:"level" doc:"Of all bands"`
	Warnings     []string       `json:"warnings"`
	Mark         int64          `json:"mark" doc:"Grows with every entry of the study"`
	Invented     bool           `json:"invented"`
}

// FamilyDonor is what one other item lends.
type FamilyDonor struct {
	Item     string  `json:"item"`
	Trials   int     `json:"trials"`
	Likeness float64 `json:"likeness" doc:"Prior correlation of what is peculiar to the two items, 0 to 1"`
	Alike    string  `json:"alike" doc:"The same in words"`
	Share    float64 `json:"share" doc:"Of all that is borrowed, 0 to 1"`
}

// FamilyMember is an item of the family.
type FamilyMember struct {
	Item    string   `json:"item"`
	Trials  int      `json:"trials"`
	Held    int      `json:"held"`
	Missing []string `json:"missing" doc:"Features that the catalogue does not know: size, mass, stiffness, friction"`
}

// FamilyPoint is the estimate at one orientation, with the limits of its 90 % bands.
type FamilyPoint struct {
	Orientation Orientation `json:"orientation"`
	P           float64     `json:"p" doc:"With what is borrowed"`
	PLow        float64     `json:"p_low"`
	PHigh       float64     `json:"p_high"`
	Alone       *float64    `json:"alone_p,omitempty" doc:"By own trials alone; left out without any"`
	AloneLow    *float64    `json:"alone_p_low,omitempty"`
	AloneHigh   *float64    `json:"alone_p_high,omitempty"`
}

// FamilyMean is the mean over orientations spread evenly up to the largest tilt: of the estimates, and of the width of the
// 90 % bands.
type FamilyMean struct {
	P          float64  `json:"p" doc:"With what is borrowed"`
	Width      float64  `json:"width"`
	Alone      *float64 `json:"alone_p,omitempty" doc:"By own trials alone; left out without any"`
	AloneWidth *float64 `json:"alone_width,omitempty"`
}

// FamilyScores says for each item how well its trials are forecast by trials that do not include them.
type FamilyScores struct {
	Sentence string        `json:"sentence"`
	Scores   []FamilyScore `json:"scores"`
	Folds    int           `json:"folds"`
	Level    float64       `json:"level" doc:"Of all intervals"`
	Mark     int64         `json:"mark" doc:"Grows with every entry of the study"`
	Invented bool          `json:"invented"`
}

// FamilyScore is one item's. The figures are mean log losses a trial in nats: lower is better.
type FamilyScore struct {
	Item     string   `json:"item"`
	Trials   int      `json:"trials"`
	Scored   bool     `json:"scored"`
	Note     string   `json:"note" doc:"Why it was not scored; else empty"`
	BaseLoss float64  `json:"base_loss" doc:"By the plain success rate of its other trials"`
	NewLoss  *float64 `json:"new_loss,omitempty" doc:"By the other items alone, as if it had no trials; left out without others"`
	OwnLoss  float64  `json:"own_loss" doc:"By its own other trials alone"`
	WithLoss float64  `json:"with_loss" doc:"By its own other trials and the other items"`
	Gain     float64  `json:"gain" doc:"own_loss − with_loss"`
	GainLow  float64  `json:"gain_low"`
	GainHigh float64  `json:"gain_high"`
}
