package api

import "time"

// Meta is what every edited thing carries. Its revision is also the ETag; send it back in If-Match to edit.
type Meta struct {
	Revision int       `json:"revision" doc:"Counts edits from 1; the ETag" readOnly:"true"`
	Created  time.Time `json:"created" readOnly:"true"`
	Updated  time.Time `json:"updated" readOnly:"true"`
	Invented bool      `json:"invented" doc:"True for demonstration data that no bench ever saw" readOnly:"true"`
}

// Hand is a compliant hand.
type Hand struct {
	ID             string  `json:"id,omitempty" doc:"Lower-case letters, digits and hyphens; made from the name when empty"`
	Name           string  `json:"name"`
	Actuation      string  `json:"actuation" enum:"motor,air"`
	Fingers        int     `json:"fingers"`
	RollFold       int     `json:"roll_fold" doc:"The hand looks the same after 1/roll_fold of a turn about the palm axis; 1: not symmetric"`
	Mirror         bool    `json:"mirror" doc:"The plane through the palm axis and the fingers' opening is a mirror plane"`
	FingerLengthMM float64 `json:"finger_length_mm"`
	PalmDiameterMM float64 `json:"palm_diameter_mm"`
	OpeningMaxMM   float64 `json:"opening_max_mm"`
	CommandUnit    string  `json:"command_unit" enum:"mm,kPa" doc:"What closing command 1 stands for: mm of motor travel or kPa of pressure"`
	CommandFull    float64 `json:"command_full"`
	ForceMaxN      float64 `json:"force_max_N"`
	FoodContact    bool    `json:"food_contact"`
	Note           string  `json:"note,omitempty"`
	Meta
}

// Turning is the symmetry of an item or a setting about the vertical.
type Turning struct {
	Axial  bool `json:"axial" doc:"Every turn about the vertical leaves it the same"`
	Fold   int  `json:"fold" doc:"1/fold of a turn leaves it the same; 1: none"`
	Mirror bool `json:"mirror" doc:"The vertical x-z plane is a mirror plane"`
}

// Item is a thing to pick: a family of shapes with spreads.
type Item struct {
	ID             string  `json:"id,omitempty"`
	Name           string  `json:"name"`
	Shape          string  `json:"shape" enum:"ellipsoid,cylinder,box,crescent"`
	SizeXMM        float64 `json:"size_x_mm"`
	SizeYMM        float64 `json:"size_y_mm"`
	SizeZMM        float64 `json:"size_z_mm"`
	SizeSpread     float64 `json:"size_spread" doc:"Standard deviation as a share of the mean"`
	MassG          float64 `json:"mass_g"`
	MassSpread     float64 `json:"mass_spread" doc:"Standard deviation as a share of the mean"`
	Friction       float64 `json:"friction"`
	StiffnessNPerM float64 `json:"stiffness_N_per_mm" doc:"How it yields under a finger; 0: not known"`
	DamageForceN   float64 `json:"damage_force_N" doc:"Peak force above which damage is expected; 0: not known"`
	LateDamageH    float64 `json:"late_damage_h" doc:"Hours after a trial until damage may first show; 0: at once"`
	Turning        Turning `json:"turning"`
	Food           bool    `json:"food"`
	Note           string  `json:"note,omitempty"`
	Meta
}

// Setting is what surrounds the item.
type Setting struct {
	ID        string  `json:"id,omitempty"`
	Name      string  `json:"name"`
	Support   string  `json:"support" enum:"table,conveyor,tray"`
	Wall      bool    `json:"wall" doc:"A wall stands beside the item, across the setting's +x"`
	WallGapMM float64 `json:"wall_gap_mm"`
	Edge      bool    `json:"edge" doc:"The support ends in an edge across the setting's +x"`
	EdgeGapMM float64 `json:"edge_gap_mm"`
	Friction  float64 `json:"friction"`
	Turning   Turning `json:"turning"`
	Note      string  `json:"note,omitempty"`
	Meta
}

// Lab tells what a lab holds and what to do next.
type Lab struct {
	Name     string `json:"name"`
	Version  string `json:"version"`
	Invented bool   `json:"invented" doc:"The lab holds demonstration data"`
	Hands    int    `json:"hands"`
	Items    int    `json:"items"`
	Settings int    `json:"settings"`
	Studies  int    `json:"studies"`
	Trials   int    `json:"trials"`
	Cards    int    `json:"cards"`
	Next     []Todo `json:"next" doc:"What to do next, most useful first"`
}

// Todo is one thing worth doing next.
type Todo struct {
	Kind   string `json:"kind" enum:"add-hand,add-item,add-setting,add-study,plan,run,inspect,map,choose,card"`
	Text   string `json:"text"`
	Detail string `json:"detail,omitempty"`
	Study  string `json:"study,omitempty"`
	Card   string `json:"card,omitempty"`
}
