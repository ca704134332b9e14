package api

import "time"

// Condition picks one map: the trials of one hand, item, setting and strategy.
type Condition struct {
	Hand     string `json:"hand"`
	Item     string `json:"item"`
	Setting  string `json:"setting"`
	Strategy string `json:"strategy"`
	Trials   int    `json:"trials" doc:"Trials that count, without reference trials"`
	Held     int    `json:"held"`
}

// MapInfo describes the success map of a condition. The picture's raster comes from the map's raster address.
type MapInfo struct {
	Condition      Condition  `json:"condition"`
	Trials         int        `json:"trials"`
	Held           int        `json:"held"`
	Degree         int        `json:"degree" doc:"Largest degree of the functions on the rotation group"`
	BasisSize      int        `json:"basis_size"`
	LengthScaleDeg float64    `json:"length_scale_deg"`
	Anisotropy     float64    `json:"anisotropy" doc:"Above 1: success changes faster with roll than with direction"`
	Amplitude      float64    `json:"amplitude" doc:"Standard deviation of the log-odds over orientations"`
	Symmetry       string     `json:"symmetry"`
	HeadingFold    int        `json:"heading_fold" doc:"The map repeats after 1/heading_fold of a turn of the hand"`
	TiltMaxDeg     float64    `json:"tilt_max_deg" doc:"Largest tilt drawn"`
	BlurDeg        float64    `json:"blur_deg"`
	Raster         RasterInfo `json:"raster"`
	Scores         Scores     `json:"scores"`
	Dispersion     Dispersion `json:"dispersion"`
	Warnings       []string   `json:"warnings" doc:"What the map can not tell, in plain sentences"`
	Cells          []Cell     `json:"cells" doc:"The same as a table: counts and estimates at each planned orientation"`
	Seconds        float64    `json:"seconds"`
	Mark           int64      `json:"mark" doc:"Grows with every entry of the study; equal marks, equal maps"`
	Invented       bool       `json:"invented"`
}

// RasterInfo says how to read the raster: unsigned 16-bit little-endian numbers, 0 to 65534 for 0 to 1, 65535 outside
// the disc; layer by layer, heading by heading, row by row from the top (azimuth 90 degrees), from left to right.
// A pixel's centre (x, y) in -1..1 lies at tilt = 2·asin(r·sin(tilt_max/2)), r = hypot(x, y), azimuth = atan2(y, x).
// Layer "mean" holds the mean over headings and layer "best" the best over headings; they have one heading each.
type RasterInfo struct {
	Size     int      `json:"size" doc:"Rows and columns"`
	Headings int      `json:"headings" doc:"Headings over one period, evenly from 0"`
	Layers   []string `json:"layers" doc:"Layers in order, each with all headings: p, low, high, blurred; then mean, mean_low, mean_high, mean_blurred, best, best_low, best_high, best_blurred with one heading each"`
}

// Scores are proper scores by grouped cross-validation beside the base rate's.
type Scores struct {
	Folds       int           `json:"folds" doc:"0: too few trials to score"`
	LogLoss     float64       `json:"log_loss"`
	BaseLogLoss float64       `json:"base_log_loss"`
	Brier       float64       `json:"brier"`
	BaseBrier   float64       `json:"base_brier"`
	Calibration []Calibration `json:"calibration"`
}

// Calibration is one bin of forecasts.
type Calibration struct {
	From     float64 `json:"from"`
	To       float64 `json:"to"`
	Trials   int     `json:"trials"`
	Forecast float64 `json:"forecast" doc:"Mean forecast"`
	Held     float64 `json:"held" doc:"Share held"`
}

// Dispersion says whether counts at the same orientation vary more or less than independent trials would.
type Dispersion struct {
	Tested   bool    `json:"tested"`
	Deviance float64 `json:"deviance"`
	DF       int     `json:"df"`
	LowerP   float64 `json:"lower_p" doc:"Chance of counts this even or more"`
	UpperP   float64 `json:"upper_p" doc:"Chance of counts this uneven or more"`
	Text     string  `json:"text"`
}

// Cell is one orientation with its counts and estimates.
type Cell struct {
	Orientation  Orientation `json:"orientation"`
	Trials       int         `json:"trials"`
	Held         int         `json:"held"`
	ExactLow     float64     `json:"exact_low" doc:"Clopper-Pearson, 90 %"`
	ExactHigh    float64     `json:"exact_high"`
	WilsonLow    float64     `json:"wilson_low"`
	WilsonHigh   float64     `json:"wilson_high"`
	JeffreysLow  float64     `json:"jeffreys_low"`
	JeffreysHigh float64     `json:"jeffreys_high"`
	P            float64     `json:"p" doc:"Smooth map's mean"`
	PLow         float64     `json:"p_low"`
	PHigh        float64     `json:"p_high"`
	PBlurred     float64     `json:"p_blurred"`
}

// MapPoint is the map's answer at one orientation.
type MapPoint struct {
	Orientation Orientation `json:"orientation"`
	P           float64     `json:"p"`
	PLow        float64     `json:"p_low"`
	PHigh       float64     `json:"p_high"`
	PBlurred    float64     `json:"p_blurred"`
	Near        []NearTrial `json:"near" doc:"The nearest trials"`
}

// NearTrial is a trial near an orientation.
type NearTrial struct {
	Trial    int64   `json:"trial"`
	AngleDeg float64 `json:"angle_deg"`
	Counted  string  `json:"counted"`
	Replay   bool    `json:"replay" doc:"A simulated trial whose film is among its recordings"`
}

// MapMarks are the trials as columns, for drawing many of them.
type MapMarks struct {
	Trial      []int64   `json:"trial"`
	TiltDeg    []float64 `json:"tilt_deg"`
	AzimuthDeg []float64 `json:"azimuth_deg"`
	HeadingDeg []float64 `json:"heading_deg" doc:"azimuth + roll, 0 to 360"`
	Counted    []int     `json:"counted" doc:"Index into outcomes"`
	Outcomes   []string  `json:"outcomes"`
}

// Choice ranks what could be handed to the line.
type Choice struct {
	BlurDeg  float64     `json:"blur_deg"`
	Target   float64     `json:"target"`
	Options  []ChoiceRow `json:"options" doc:"Best lower bound first"`
	Warnings []string    `json:"warnings"`
}

// ChoiceRow is one strategy with its best region.
type ChoiceRow struct {
	Condition   Condition     `json:"condition"`
	Closing     float64       `json:"closing"`
	Nominal     Orientation   `json:"nominal"`
	Region      []Orientation `json:"region"`
	SpacingDeg  float64       `json:"spacing_deg" doc:"Each region point stands for all orientations within this turn of it"`
	RadiusDeg   float64       `json:"radius_deg" doc:"All orientations within this turn of the nominal one are inside"`
	Share       float64       `json:"share" doc:"Share of all orientations within the tilt limit"`
	Success     float64       `json:"success" doc:"Expected success over the region, blurred by the line's error"`
	Low         float64       `json:"low"`
	High        float64       `json:"high"`
	MeetsTarget bool          `json:"meets_target" doc:"The lower bound reaches the target"`
	Reason      string        `json:"reason" doc:"One sentence"`
}

// ReleaseCard asks for a pick card.
type ReleaseCard struct {
	ID           string  `json:"id,omitempty"`
	Study        string  `json:"study"`
	Hand         string  `json:"hand"`
	Item         string  `json:"item"`
	Setting      string  `json:"setting"`
	Strategy     string  `json:"strategy"`
	ReleasedBy   string  `json:"released_by"`
	MinRadiusDeg float64 `json:"min_radius_deg,omitempty" doc:"The region must tolerate at least this turn; 0: no demand"`
}

// Card is a pick card.
type Card struct {
	ID          string        `json:"id"`
	Study       string        `json:"study"`
	Hand        string        `json:"hand"`
	Item        string        `json:"item"`
	Setting     string        `json:"setting"`
	Strategy    Strategy      `json:"strategy"`
	Nominal     Orientation   `json:"nominal"`
	Region      []Orientation `json:"region"`
	SpacingDeg  float64       `json:"spacing_deg"`
	RadiusDeg   float64       `json:"radius_deg"`
	Share       float64       `json:"share"`
	Closing     float64       `json:"closing"`
	LineError   LineError     `json:"line_error"`
	Success     float64       `json:"success"`
	Low         float64       `json:"low"`
	High        float64       `json:"high"`
	Target      float64       `json:"target"`
	Trials      int           `json:"trials"`
	Held        int           `json:"held"`
	LastTrial   int64         `json:"last_trial"`
	Digest      string        `json:"digest"`
	Proof       *CardProof    `json:"proof,omitempty" doc:"How the newest proof run stood; left out: released without one"`
	Matches     bool          `json:"matches" doc:"The trials and settings it came from are still the same"`
	Cautions    []string      `json:"cautions"`
	ReleasedBy  string        `json:"released_by"`
	ReleasedAt  time.Time     `json:"released_at"`
	Withdrawn   *time.Time    `json:"withdrawn,omitempty"`
	WithdrawnBy string        `json:"withdrawn_by,omitempty"`
	Reason      string        `json:"reason,omitempty"`
	Invented    bool          `json:"invented"`
}
