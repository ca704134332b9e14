package api

import "time"

// Comparison is what a study says about two levels of a factor, A minus B, in shares of 1.
type Comparison struct {
	By         string      `json:"by"`
	A          string      `json:"a"`
	B          string      `json:"b"`
	Level      float64     `json:"level" doc:"Level of all intervals"`
	Sentence   string      `json:"sentence"`
	HeldA      int         `json:"held_a"`
	TrialsA    int         `json:"trials_a"`
	HeldB      int         `json:"held_b"`
	TrialsB    int         `json:"trials_b"`
	Unit       string      `json:"unit" enum:"whole plots,blocks,pairs,trials" doc:"What counts as one observation"`
	Units      string      `json:"units" doc:"How many there are, in words"`
	Why        string      `json:"why" doc:"Why this unit"`
	Measured   Difference  `json:"measured"`
	Plain      Difference  `json:"plain" doc:"Of trials as if nothing else mattered: Newcombe's interval, Boschloo's test"`
	FisherP    float64     `json:"fisher_p" doc:"Fisher's exact test, two-sided, of trials as if nothing else mattered"`
	NoWorse    NoWorse     `json:"no_worse"`
	Levels     []LevelRow  `json:"levels" doc:"All levels of the factor, largest share held first"`
	LevelPairs []LevelPair `json:"level_pairs" doc:"All pairs of levels"`
	Warnings   []string    `json:"warnings"`
	Invented   bool        `json:"invented"`
}

// Difference is a difference of success probabilities with its interval and test.
type Difference struct {
	Difference float64  `json:"difference"`
	Low        float64  `json:"low"`
	High       float64  `json:"high"`
	Better     *float64 `json:"chance_a_is_better,omitempty" doc:"Posterior probability; left out where whole plots are compared"`
	Test       string   `json:"test"`
	P          float64  `json:"p" doc:"Two-sided"`
	PGreater   float64  `json:"p_greater" doc:"If A were not better"`
	PLess      float64  `json:"p_less" doc:"If A were not worse"`
}

// NoWorse answers whether A is no worse than B by more than the margin.
type NoWorse struct {
	Margin     float64  `json:"margin"`
	Bound      float64  `json:"bound" doc:"Lower bound of the difference"`
	Upper      float64  `json:"upper" doc:"Upper bound of the difference"`
	Confidence float64  `json:"confidence" doc:"Of each bound"`
	Shown      bool     `json:"shown" doc:"The lower bound lies above minus the margin"`
	ShownEqual bool     `json:"shown_equal" doc:"Both bounds lie within the margin: two one-sided tests"`
	Posterior  *float64 `json:"chance,omitempty" doc:"Posterior probability that A is no worse by more than the margin"`
	Equal      *float64 `json:"chance_equal,omitempty" doc:"Posterior probability that the difference is smaller than the margin either way"`
}

// LevelRow is one level of the factor.
type LevelRow struct {
	Name   string  `json:"name"`
	Trials int     `json:"trials"`
	Held   int     `json:"held"`
	Low    float64 `json:"low" doc:"Exact interval of the share held"`
	High   float64 `json:"high"`
}

// LevelPair compares two levels.
type LevelPair struct {
	A        string     `json:"a"`
	B        string     `json:"b"`
	Unit     string     `json:"unit"`
	Measured Difference `json:"measured"`
	HolmP    float64    `json:"holm_p" doc:"Two-sided p after Holm's correction over all pairs"`
}

// MapsComparison is where one map is clearly better than another. Pictures are rows from the top (azimuth 90 degrees),
// left to right, laid out as the map's raster is; first one for each heading, then one for the mean over headings.
type MapsComparison struct {
	A           Condition `json:"a"`
	B           Condition `json:"b"`
	Level       float64   `json:"level"`
	BlurDeg     float64   `json:"blur_deg"`
	TiltMaxDeg  float64   `json:"tilt_max_deg"`
	Size        int       `json:"size" doc:"Rows and columns of a picture"`
	Headings    int       `json:"headings" doc:"Headings over one period, evenly from 0"`
	HeadingFold int       `json:"heading_fold"`
	Points      [][]int   `json:"points" doc:"Expected difference, A minus B, in thousandths, by picture and pixel; 9999 outside the disc"`
	Clear       [][]int   `json:"clear" doc:"1: A is clearly better at this orientation, -1: B is, 0: not clear; 2 and -2: also in a band over all orientations at once"`
	ClearA      float64   `json:"clear_a" doc:"Share of orientations where A is clearly better"`
	ClearB      float64   `json:"clear_b"`
	SureA       float64   `json:"sure_a" doc:"Share where it is so in a band over all orientations at once"`
	SureB       float64   `json:"sure_b"`
	Sentence    string    `json:"sentence"`
	Warnings    []string  `json:"warnings"`
	Mark        int64     `json:"mark"`
}

// Judgement is how somebody says that a trial ended, without seeing how it was recorded.
type Judgement struct {
	ID       int64      `json:"id,omitempty" readOnly:"true"`
	Trial    int64      `json:"trial"`
	Key      string     `json:"key" doc:"Any text that is new for each judgement; repeat it when you send one again"`
	Judge    string     `json:"judge"`
	Outcome  string     `json:"outcome" enum:"held,dropped,slipped,missed,pushed,damaged,stopped,failed"`
	Note     string     `json:"note,omitempty"`
	JudgedAt *time.Time `json:"judged_at,omitempty" doc:"Now when left out"`
	Recorded *time.Time `json:"recorded,omitempty" readOnly:"true"`
}

// ToJudge are trials that a judge has not judged, without their outcomes.
type ToJudge struct {
	Trials []BlindTrial `json:"trials"`
	Left   int          `json:"left" doc:"All that the judge has not judged"`
}

// BlindTrial is a trial without its outcome.
type BlindTrial struct {
	Trial       int64       `json:"trial" doc:"First entry of the history"`
	Hand        string      `json:"hand"`
	Item        string      `json:"item"`
	Setting     string      `json:"setting"`
	Strategy    string      `json:"strategy"`
	Orientation Orientation `json:"orientation" doc:"As measured, else as asked"`
	Closing     float64     `json:"closing"`
	PeakForceN  *float64    `json:"peak_force_N,omitempty"`
	DurationS   *float64    `json:"duration_s,omitempty"`
	StartedAt   *time.Time  `json:"started_at,omitempty"`
	Note        string      `json:"note,omitempty"`
	Recordings  []Recording `json:"recordings,omitempty"`
}

// Agreement says how far the record and the judges of a study agree.
type Agreement struct {
	Level    float64     `json:"level" doc:"Level of all intervals"`
	Trials   int         `json:"trials" doc:"Judged at least once besides the record"`
	Judges   []JudgeRow  `json:"judges" doc:"The record first"`
	Outcomes []string    `json:"outcomes" doc:"Rows and columns of the tables"`
	All      AllJudges   `json:"all" doc:"By outcome"`
	HeldOnly AllJudges   `json:"held_only" doc:"By held or not only"`
	Pairs    []JudgePair `json:"pairs"`
	Again    []Again     `json:"again" doc:"Trials to look at again, most consequential first"`
	Sentence string      `json:"sentence"`
	Warnings []string    `json:"warnings"`
}

// JudgeRow is one judge, or the record.
type JudgeRow struct {
	Name   string `json:"name"`
	Trials int    `json:"trials"`
	Held   int    `json:"held"`
}

// AllJudges is the agreement of all judges together.
type AllJudges struct {
	Alpha        *float64 `json:"alpha,omitempty" doc:"Krippendorff's alpha for names; left out where only one outcome was given"`
	Low          *float64 `json:"alpha_low,omitempty" doc:"From resampled trials"`
	High         *float64 `json:"alpha_high,omitempty"`
	Trials       int      `json:"trials" doc:"Judged twice at least, the record counted"`
	Fleiss       *float64 `json:"fleiss_kappa,omitempty" doc:"Over the trials that all judged; only with three judges or more, the record counted"`
	FleissTrials int      `json:"fleiss_trials"`
}

// JudgePair is the agreement of two judges.
type JudgePair struct {
	A        string   `json:"a"`
	B        string   `json:"b"`
	Trials   int      `json:"trials"`
	All      TwoAgree `json:"all" doc:"By outcome"`
	HeldOnly TwoAgree `json:"held_only" doc:"By held or not only"`
	Table    [][]int  `json:"table" doc:"Trials by outcome as A and as B judged; rows are A's"`
}

// TwoAgree holds figures of agreement, none of which is enough by itself.
type TwoAgree struct {
	Agreed float64  `json:"agreed" doc:"Share judged alike"`
	Kappa  *float64 `json:"kappa,omitempty" doc:"Cohen's; left out where only one outcome was given"`
	Low    *float64 `json:"kappa_low,omitempty"`
	High   *float64 `json:"kappa_high,omitempty"`
	PABAK  float64  `json:"pabak" doc:"Kappa adjusted for prevalence and bias"`
	AC1    float64  `json:"ac1" doc:"Gwet's coefficient"`
	Trap   bool     `json:"trap" doc:"Agreement is high and kappa low because one outcome is rare"`
}

// Again is a trial to look at again.
type Again struct {
	Trial    int64   `json:"trial"`
	Hand     string  `json:"hand"`
	Item     string  `json:"item"`
	Strategy string  `json:"strategy"`
	Said     []Said  `json:"said" doc:"The record first"`
	Disagree float64 `json:"disagree" doc:"Share of pairs of judges that differ"`
	Decisive bool    `json:"decisive" doc:"They differ on whether it was held"`
}

// Said is what one judge said of a trial.
type Said struct {
	Judge   string `json:"judge"`
	Outcome string `json:"outcome"`
	Note    string `json:"note,omitempty"`
}
