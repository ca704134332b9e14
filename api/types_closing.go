package api

// HandDescription is a hand that is described well enough to be simulated.
type HandDescription struct {
	ID       string `json:"id" doc:"That of the lab's hand, where the lab has it"`
	Name     string `json:"name"`
	Note     string `json:"note,omitempty"`
	Fingers  int    `json:"fingers"`
	Joints   int    `json:"joints"`
	Cords    int    `json:"cords"`
	Chambers int    `json:"chambers"`
}

// HandClosing is a hand closed slowly in simulation, without gravity, its palm and the item standing still. Places are in the palm's frame,
// whose z goes out of the palm.
type HandClosing struct {
	Hand         HandDescription `json:"hand"`
	Item         string          `json:"item" enum:"none,sphere,box,plate"`
	SizeMM       float64         `json:"size_mm" doc:"Diameter, edge, or edge of the plate; 0 without an item"`
	DistanceMM   float64         `json:"distance_mm" doc:"Of the item's middle from the palm"`
	Friction     float64         `json:"friction" doc:"Coefficient between skin and item"`
	PalmRadiusMM float64         `json:"palm_radius_mm"`
	Fingers      []string        `json:"fingers"`
	Joints       []ClosingJoint  `json:"joints" doc:"Of all fingers in their order"`
	Cords        []ClosingCord   `json:"cords"`
	Links        []ClosingLink   `json:"links"`
	Outline      *ClosingOutline `json:"outline,omitempty" doc:"The item, in its own frame; its axes are the palm's"`
	Steps        []ClosingStep   `json:"steps" doc:"At even closing commands from 0 to 1"`
}

// ClosingJoint is a joint of a finger, counted from 0.
type ClosingJoint struct {
	Finger int  `json:"finger"`
	Slides bool `json:"slides"`
}

// ClosingCord runs over fingers, counted from 0.
type ClosingCord struct {
	Motor   int   `json:"motor"`
	Fingers []int `json:"fingers"`
	Pushes  bool  `json:"pushes"`
}

// ClosingLink is a link of a finger behind a joint of it, a capsule.
type ClosingLink struct {
	Finger   int     `json:"finger"`
	Joint    int     `json:"joint"`
	RadiusMM float64 `json:"radius_mm"`
}

// ClosingOutline is an item's surface as triangles.
type ClosingOutline struct {
	VerticesMM []float64 `json:"vertices_mm" doc:"x, y, z of one after the other"`
	Triangles  []int32   `json:"triangles" doc:"Three corners of one after the other, counterclockwise seen from outside"`
}

// ClosingStep is how everything stands at one closing command.
type ClosingStep struct {
	Command     float64          `json:"command"`
	Settled     bool             `json:"settled" doc:"All had come to rest"`
	LinksMM     []float64        `json:"links_mm" doc:"Both ends of each link, 6 numbers a link"`
	TipsMM      []float64        `json:"tips_mm" doc:"x, y, z of each finger's end"`
	JointsDegMM []float64        `json:"joints_deg_or_mm" doc:"Degrees; mm for joints that slide"`
	BentDeg     []float64        `json:"bent_deg" doc:"By how much each finger's last link has turned"`
	TensionN    []float64        `json:"tension_N" doc:"Of each cord"`
	DrawnMM     []float64        `json:"drawn_mm" doc:"What each finger has taken of each cord: cord by cord"`
	PressureKPa []float64        `json:"pressure_kPa" doc:"Of each chamber"`
	GripN       float64          `json:"grip_N" doc:"Sum of all normal forces on the item"`
	FingersN    []float64        `json:"fingers_N" doc:"Normal forces of each finger on the item"`
	PalmN       float64          `json:"palm_N" doc:"Normal forces of the palm on the item"`
	Contacts    []ClosingContact `json:"contacts"`
}

// ClosingContact is where the hand touches the item.
type ClosingContact struct {
	Finger  int        `json:"finger" doc:"From 0; -1: the palm"`
	Link    int        `json:"link"`
	PointMM [3]float64 `json:"point_mm"`
	ForceN  [3]float64 `json:"force_N" doc:"On the item"`
	Sliding bool       `json:"sliding"`
}

// HandGrip is the grip over the size of an item and the closing command.
type HandGrip struct {
	Hand       HandDescription `json:"hand"`
	Item       string          `json:"item" enum:"sphere,box,plate"`
	Friction   float64         `json:"friction"`
	SizesMM    []float64       `json:"sizes_mm"`
	DistanceMM []float64       `json:"distances_mm" doc:"Of each item's middle from the palm"`
	Commands   []float64       `json:"commands"`
	GripN      [][]float64     `json:"grip_N" doc:"By size, then command"`
	Touching   [][]int         `json:"touching" doc:"How many fingers touch"`
}
