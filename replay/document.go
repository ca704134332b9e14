package replay

// document is what stands in the file.
type document struct {
	Format       string      `json:"format"`
	Hand         string      `json:"hand"`
	Item         string      `json:"item"`
	Setting      string      `json:"setting"`
	Strategy     string      `json:"strategy"`
	StrategyKind string      `json:"strategy_kind"`
	Orientation  []float64   `json:"orientation_wxyz"`
	Measured     []float64   `json:"measured_wxyz"`
	Closing      float64     `json:"closing"`
	Seed         uint64      `json:"seed,string"`
	Number       int         `json:"number"`
	Outcome      string      `json:"outcome"`
	Reason       string      `json:"reason"`
	Offset       []float64   `json:"offset_mm"`
	Duration     float64     `json:"duration_s"`
	Steps        int         `json:"steps"`
	PeakForce    float64     `json:"peak_force_N"`
	PeakPressure float64     `json:"peak_pressure_kPa"`
	Grip         float64     `json:"hold_grip_N"`
	HoldContacts []float64   `json:"hold_contacts"`
	HoldBears    *bearing    `json:"hold_bears,omitempty"`
	Phases       []string    `json:"phases"`
	Ended        []string    `json:"ended_by"`
	Fingers      []string    `json:"fingers"`
	Joints       []joint     `json:"joints"`
	Cords        []cord      `json:"cords"`
	Chambers     int         `json:"chambers"`
	PalmRadius   float64     `json:"palm_radius_mm"`
	Links        []link      `json:"links"`
	EdgeAt       *float64    `json:"edge_at_mm"`
	Blocks       []block     `json:"blocks"`
	Items        []mesh      `json:"items"`
	Parts        []part      `json:"parts"`
	Rate         float64     `json:"frames_per_s"`
	Times        []float64   `json:"time_s"`
	Phase        []int       `json:"phase"`
	Command      []float64   `json:"command"`
	Gripping     []float64   `json:"grip_N"`
	Largest      []float64   `json:"largest_contact_N"`
	OnItem       [][]float64 `json:"on_item_N"`
	Felt         [][]float64 `json:"felt_N"`
	Palm         [][]float64 `json:"palm_mm_wxyz"`
	Capsules     [][]float64 `json:"links_mm"`
	Bodies       [][]float64 `json:"items_mm_wxyz"`
	Angles       [][]float64 `json:"joints_deg_or_mm"`
	Tensions     [][]float64 `json:"tension_N"`
	Drawn        [][]float64 `json:"drawn_mm"`
	Pressures    [][]float64 `json:"pressure_kPa"`
	Contacts     [][]float64 `json:"contacts"`
}

// bearing is what the contacts at the end of the hold can bear.
type bearing struct {
	Closure      bool      `json:"force_closure"`
	MarginLow    float64   `json:"wrench_margin_low"`
	MarginHigh   float64   `json:"wrench_margin_high"`
	Length       float64   `json:"torque_length_mm"`
	Payload      []float64 `json:"further_load_N"` // along +x, −x, +y, −y, +z, −z
	Squeeze      float64   `json:"squeeze_N"`
	FrictionUsed float64   `json:"friction_used"`
	Reserve      float64   `json:"shear_reserve_N"`
}

type joint struct {
	Finger int  `json:"finger"`
	Slides bool `json:"slides"`
}

type cord struct {
	Motor   int   `json:"motor"`
	Fingers []int `json:"fingers"`
	Pushes  bool  `json:"pushes"`
}

type link struct {
	Finger int     `json:"finger"`
	Joint  int     `json:"joint"`
	Radius float64 `json:"radius_mm"`
}

type block struct {
	Name string    `json:"name"`
	Low  []float64 `json:"low_mm"`
	High []float64 `json:"high_mm"`
}

type mesh struct {
	Vertices  []float64 `json:"vertices_mm"` // x, y, z of one after the other
	Triangles []int32   `json:"triangles"`   // three corners of one after the other
}

type part struct {
	Kind  string `json:"kind"`
	Index int    `json:"index"`
	Link  int    `json:"link"`
}

// kinds are the words for the parts, by trialsim's numbers.
var kinds = []string{"support", "edge", "block", "item", "palm", "link"}

// contactWidth is how many numbers tell a contact: the parts, the point (mm), the force on the second (N), the normal, sliding.
const contactWidth = 12
