package api

import "time"

// TouchClip is a short sound of a hand being touched, with its newest label.
type TouchClip struct {
	ID          int64     `json:"id"`
	Recording   string    `json:"recording" doc:"SHA-256 of the WAV file; read it at /recordings"`
	RateHz      int       `json:"rate_hz"`
	Samples     int       `json:"samples"`
	Session     string    `json:"session"`
	Specimen    string    `json:"specimen"`
	Object      string    `json:"object"`
	PressureKPa *float64  `json:"pressure_kPa,omitempty"`
	SNRDB       *float64  `json:"snr_dB,omitempty" doc:"Sound over the noise that it was recorded with; left out: not known"`
	Note        string    `json:"note"`
	Invented    bool      `json:"invented"`
	Recorded    time.Time `json:"recorded"`
	TouchLabel
}

// TouchLabel says where a clip was touched.
type TouchLabel struct {
	Label      int64     `json:"label" doc:"Its number; later labels of the lab have larger ones"`
	Zone       string    `json:"zone"`
	PositionMm *float64  `json:"position_mm,omitempty" doc:"Along the finger, from its root"`
	LeaveOut   bool      `json:"leave_out" doc:"Not to be learnt from"`
	By         string    `json:"by"`
	At         time.Time `json:"at"`
}

// NewTouchLabel is a label to be added to a clip.
type NewTouchLabel struct {
	Clip       int64    `json:"clip"`
	Zone       string   `json:"zone,omitempty"`
	PositionMm *float64 `json:"position_mm,omitempty"`
	LeaveOut   bool     `json:"leave_out,omitempty"`
	By         string   `json:"by"`
}

// TouchModel is what was learnt from a hand's clips.
type TouchModel struct {
	ID        int64         `json:"id"`
	Clips     int           `json:"clips"`
	Digest    string        `json:"digest"`
	Seed      string        `json:"seed"`
	Evidence  TouchEvidence `json:"evidence"`
	TrainedAt time.Time     `json:"trained_at"`
	Invented  bool          `json:"invented"`
	Recording string        `json:"recording"`
	RateHz    int           `json:"rate_hz"`
	Zones     []string      `json:"zones"`
	Limit     float64       `json:"unlike_beyond"`
	Level     float64       `json:"level"`
}

// TouchEvidence says how well a model tells clips that it was not trained on. Only what was held out by group says what to
// expect of the next day or finger.
type TouchEvidence struct {
	Clips     int                    `json:"clips"`
	HeldOut   string                 `json:"held_out" doc:"What no part shares with its training: specimen or session"`
	Groups    int                    `json:"groups"`
	Folds     int                    `json:"folds"`
	Zones     *TouchZoneEvidence     `json:"zones,omitempty"`
	Positions *TouchPositionEvidence `json:"positions,omitempty"`
	Changes   []TouchChange          `json:"changes" doc:"When the object, the pressure, the day or mounting is a new one"`

	UnderNoise []TouchNoiseScore `json:"under_noise" doc:"Held-out clips with noise laid over them; empty for a model of an earlier version"`
	OwnSNR     *TouchOwnSNR      `json:"own_snr,omitempty" doc:"Left out where it is known of no clip"`
}

// TouchNoiseScore says how held-out clips are told when noise is laid over them.
type TouchNoiseScore struct {
	RatioDB float64        `json:"snr_db" doc:"Power of the sound over that of the noise laid over it"`
	Clips   int            `json:"clips"`
	Right   *TouchInterval `json:"right,omitempty" doc:"Share of zones"`
	OffMm   *TouchInterval `json:"off_mm,omitempty" doc:"Mean absolute error"`
	Unsure  TouchInterval  `json:"unsure" doc:"Share called unlike all that was learnt"`
}

// TouchOwnSNR says by how much clips are above the noise that they were recorded with.
type TouchOwnSNR struct {
	MedianDB float64 `json:"median_db"`
	Clips    int     `json:"clips" doc:"Of which it is known"`
}

// TouchChange says how clips of one object, pressure or day are told by models that heard it in other groups, and by models that
// never did.
type TouchChange struct {
	What      string         `json:"what" enum:"object,pressure_kpa,day"`
	Level     string         `json:"level"`
	Clips     int            `json:"clips"`
	Why       string         `json:"why,omitempty" doc:"Why there is nothing to compare"`
	Heard     *TouchInterval `json:"heard,omitempty" doc:"Share of zones right"`
	Unheard   *TouchInterval `json:"unheard,omitempty"`
	HeardMm   *TouchInterval `json:"heard_mm,omitempty" doc:"Mean absolute error"`
	UnheardMm *TouchInterval `json:"unheard_mm,omitempty"`
}

// TouchInterval is a mean with its bounds at the model's level.
type TouchInterval struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// TouchZoneScore is a set of figures of told zones.
type TouchZoneScore struct {
	Accuracy TouchInterval `json:"accuracy"`
	MacroF1  float64       `json:"macro_f1"`
	Kappa    float64       `json:"kappa"`
	MCC      float64       `json:"mcc"`
}

// TouchZoneEvidence compares three ways of asking.
type TouchZoneEvidence struct {
	Method    string         `json:"method"`
	Grouped   TouchZoneScore `json:"grouped"`
	Random    TouchZoneScore `json:"random_split" doc:"Split by clip: flatters"`
	Guess     TouchZoneScore `json:"guess"`
	Confusion [][]int        `json:"confusion" doc:"Touched by told, held out by group"`

	Temperature  float64 `json:"temperature" doc:"By which probabilities were softened to fit held-out groups; 0: a model of an earlier version, not softened"`
	StatedBefore float64 `json:"stated_before" doc:"Mean probability of the likeliest zone of held-out clips, before"`
	Stated       float64 `json:"stated" doc:"And after"`
}

// TouchPositionEvidence is the same for positions; absolute errors in mm.
type TouchPositionEvidence struct {
	Grouped TouchInterval `json:"grouped_mm"`
	Random  TouchInterval `json:"random_split_mm"`
	Guess   TouchInterval `json:"guess_mm"`
	Covered float64       `json:"covered" doc:"Share of held-out clips within the intervals before they were widened"`
	Spread  float64       `json:"spread" doc:"By which intervals were widened for that"`
	BiasMm  float64       `json:"bias_mm"`
	P90Mm   float64       `json:"p90_mm"`
}

// TouchState is what is known of a hand's sounds.
type TouchState struct {
	Clips   []TouchClip    `json:"clips" doc:"Those whose newest label is later than since, oldest clip first"`
	Since   int64          `json:"since" doc:"Number of a label; 0: all clips are told, and what was known before counts no more"`
	Newest  int64          `json:"newest" doc:"Number of the newest label of the hand's clips; ask for what comes after it"`
	Model   *TouchModel    `json:"model,omitempty"`
	Stale   bool           `json:"stale" doc:"Clips or labels changed since it was trained"`
	Running *TouchProgress `json:"running,omitempty"`
	Failed  string         `json:"failed,omitempty"`
}

// TouchProgress says how far a training is.
type TouchProgress struct {
	Stage string `json:"stage"`
	Done  int    `json:"done"`
	Of    int    `json:"of"`
}

// TouchStart asks for a training.
type TouchStart struct {
	Seed string `json:"seed,omitempty" doc:"The same seed gives the same model; 1 when left out"`
}

// InventedKnock is a knock on a finger that does not exist, with quiet around it.
type InventedKnock struct {
	RateHz     int     `json:"rate_hz"`
	PositionMm float64 `json:"position_mm" doc:"Where it was knocked on"`
	Samples    []int16 `json:"samples" doc:"Full scale is 32768"`
}

// TouchPicture is a clip as it is drawn: its course, and its spectrum over time.
type TouchPicture struct {
	Clip     int64       `json:"clip"`
	SpanS    float64     `json:"span_s"`
	Low      []float64   `json:"low" doc:"Least sample of each of equal parts of the span; full scale is 1"`
	High     []float64   `json:"high" doc:"Greatest"`
	StepHz   float64     `json:"step_hz" doc:"Between neighbouring frequencies, the first of which is 0"`
	FirstS   float64     `json:"first_s" doc:"Middle of the first spectrum's window"`
	StepS    float64     `json:"step_s" doc:"From spectrum to spectrum"`
	WindowMs float64     `json:"window_ms"`
	LevelsDB [][]float64 `json:"levels_dB" doc:"By spectrum and frequency; a full-scale tone has 0 dB, nothing is told below 100 dB under the strongest"`
}

// TouchAnswer is what the live socket says of one touch.
type TouchAnswer struct {
	Kind          string    `json:"kind" doc:"touch, lost or fault"`
	OnsetS        float64   `json:"onset_s"`
	StartS        float64   `json:"start_s" doc:"Where what was asked about begins"`
	Samples       int       `json:"samples" doc:"How much was asked about"`
	Zone          string    `json:"zone,omitempty"`
	Probabilities []float64 `json:"probabilities,omitempty" doc:"In the order of the model's zones; none without a model"`
	PositionMm    *float64  `json:"position_mm,omitempty"`
	LowMm         *float64  `json:"position_low_mm,omitempty"`
	HighMm        *float64  `json:"position_high_mm,omitempty"`
	ErrorMm       *float64  `json:"position_error_mm,omitempty" doc:"Standard deviation of the place, by which the interval was made"`
	Unsure        bool      `json:"unsure"`
	Distance      float64   `json:"distance"`
	Crowded       bool      `json:"struck_again"`
	LatencyMs     float64   `json:"latency_ms"`
	Lost          int64     `json:"lost_samples"`
	Message       string    `json:"message,omitempty"`
}
