package domain

import (
	"math"
	"strings"
	"time"
)

// TouchClip is a short sound of a hand being touched, as it was recorded. It never changes; what is said of it stands in
// labels, the newest of which counts.
type TouchClip struct {
	ID          int64 // set by the store, ascending
	Key         string
	Hand        ID
	Recording   string   // SHA-256 of the WAV file in the lab's recordings, lower-case hex
	RateHz      int      // sampling rate
	Samples     int      // of the first channel, which is the one that counts
	Session     string   // day or mounting: clips of one resemble each other
	Specimen    string   // which piece of the hand's kind
	Object      string   // what it was touched by; empty: not said
	PressureKPa *float64 // in the finger, above the surroundings; nil: not said
	SNRDB       *float64 // sound over the noise that it was recorded with, dB; nil: not known
	Note        string
	Invented    bool // no finger was recorded
	Recorded    time.Time

	Label TouchLabel // the newest; not stored with the clip but beside it
}

// TouchLabel says where a clip was touched. Labels are only added: a correction is a newer one.
type TouchLabel struct {
	ID         int64 // set by the store, ascending over all labels of a lab
	Clip       int64
	Zone       string   // empty: not said
	PositionMm *float64 // along the finger from its root; nil: not said
	LeaveOut   bool     // the clip is not to be learnt from
	By         string
	At         time.Time
}

// TouchModel is what was learnt from a hand's clips, with the evidence for it. It never changes.
type TouchModel struct {
	ID        int64 // set by the store, ascending
	Hand      ID
	Recording string // SHA-256 of the model file in the lab's recordings
	Clips     int
	Digest    string // SHA-256 of the clips and labels learnt from, lower-case hex
	Seed      uint64
	Evidence  []byte // JSON, as the training found it
	TrainedAt time.Time
	Invented  bool // some clip was invented
}

// MostTouchClip is how many bytes the WAV file of a clip may have.
const MostTouchClip = 4 << 20

// Validate says which fields break a rule.
func (c *TouchClip) Validate() error {
	var k checks
	k.id("hand", c.Hand)
	if c.Key == "" || len(c.Key) > 200 {
		k.fail("key", c.Key, "must be 1 to 200 bytes: any text that is new for each clip, repeated when a request is sent again")
	}
	k.name("session", c.Session)
	k.name("specimen", c.Specimen)
	if len(c.Object) > 120 || strings.ContainsAny(c.Object, "\r\n") {
		k.fail("object", c.Object, "must be one line of at most 120 bytes")
	}
	if c.PressureKPa != nil {
		k.between("pressure_kPa", *c.PressureKPa, -101.325, 2000, " kPa")
	}
	if c.SNRDB != nil {
		k.between("snr_dB", *c.SNRDB, -200, 200, " dB")
	}
	if len(c.Note) > 4000 {
		k.fail("note", len(c.Note), "must be at most 4000 bytes long")
	}
	if c.RateHz < 8000 || c.RateHz > 192000 || c.Samples < 1 {
		k.fail("sound", c.RateHz, "must be a WAV file of 8000 to 192000 Hz with samples in it")
	}
	c.Label.rules(&k)
	return k.err("clip")
}

// Validate says which fields break a rule.
func (l *TouchLabel) Validate() error {
	var k checks
	l.rules(&k)
	k.name("by", l.By)
	return k.err("label")
}

func (l *TouchLabel) rules(k *checks) {
	if len(l.Zone) > 60 || strings.ContainsAny(l.Zone, "\r\n") {
		k.fail("zone", l.Zone, "must be one line of at most 60 bytes")
	}
	if p := l.PositionMm; p != nil && !(math.Abs(*p) <= 10_000) {
		k.fail("position_mm", *p, "must be between -10000 and 10000 mm")
	}
}
