package domain

import (
	"context"
	"io"
	"iter"
	"time"
)

// Clock tells the time, so that tests can set it.
type Clock interface{ Now() time.Time }

// Event tells open pages that something changed. It carries no data: a page asks again for what it shows.
type Event struct {
	Topic string // "trials", "inspections", "judgements", "study", "hand", "item", "setting", "economics", "card", "proof", "model", "bench", "touch", "handset"
	Study ID     // empty for hand, item, setting, bench
	ID    string // what changed
}

// Bus carries events from the use cases to whoever listens.
type Bus interface {
	// Publish hands the event to all present listeners without waiting for them.
	Publish(Event)
	// Listen returns a channel of events; it is closed when ctx ends. A listener that falls behind loses the oldest
	// events and gets one with Topic "resync".
	Listen(ctx context.Context) <-chan Event
}

// Store keeps a lab. Every method is one transaction: it happens wholly or not at all, and what it acknowledged
// survives the process being killed. Errors are *Error with KindNotFound, KindConflict, KindStale or KindInternal
// unless a method says more.
type Store interface {
	Catalogue
	Studies
	Trials
	Judgements
	Cards
	Proofs
	Recordings
	Economics
	ModelFits
	BenchRecords
	TouchSounds
	// Close releases the lab.
	Close() error
}

// Catalogue keeps hands, items and settings. Put* with Meta.Revision 0 creates (KindConflict if the ID exists); with
// another revision it replaces exactly that revision (KindStale otherwise) and returns the new Meta.
type Catalogue interface {
	Hands(ctx context.Context) ([]Hand, error)
	Hand(ctx context.Context, id ID) (Hand, error)
	PutHand(ctx context.Context, h Hand) (Meta, error)
	Items(ctx context.Context) ([]Item, error)
	Item(ctx context.Context, id ID) (Item, error)
	PutItem(ctx context.Context, it Item) (Meta, error)
	Settings(ctx context.Context) ([]Setting, error)
	Setting(ctx context.Context, id ID) (Setting, error)
	PutSetting(ctx context.Context, s Setting) (Meta, error)
}

// Studies keeps studies and their plans.
type Studies interface {
	Studies(ctx context.Context) ([]Study, error)
	Study(ctx context.Context, id ID) (Study, error)
	// PutStudy creates or replaces as Catalogue's Put* do. When runs is not nil it also replaces the whole plan;
	// KindRefused if a trial of the plan is already recorded.
	PutStudy(ctx context.Context, s Study, runs []PlannedRun) (Meta, error)
	// Extend appends runs, numbered on from after, to a plan that ends with run after (0: that has none yet), which counts
	// as an edit of the study and makes a draft planned. KindConflict if the plan ends elsewhere by now, KindRefused when
	// the study is finished.
	Extend(ctx context.Context, study ID, after int, runs []PlannedRun) error
	// Plan returns the planned runs in order.
	Plan(ctx context.Context, study ID) ([]PlannedRun, error)
	// Lease hands out the first planned run that has no recorded trial (a void one counts as not done) and no live lease, to the holder,
	// until now+d. A holder that asks again while its lease lives gets the same run, renewed. KindNotFound when
	// nothing is left to hand out.
	Lease(ctx context.Context, study ID, holder string, now time.Time, d time.Duration) (PlannedRun, time.Time, error)
	// Release gives the holder's leases back.
	Release(ctx context.Context, study ID, holder string) error
}

// TrialFilter picks trials. Zero fields pick all.
type TrialFilter struct {
	Condition Condition // empty fields match all
	Block     int
	After     TrialID // only chains whose root is beyond this one
	Limit     int     // 0: all
	Reference *bool
}

// Position says how far a study's record was read. The zero Position is before the first entry.
type Position struct {
	Entry      TrialID // newest entry that was seen
	Inspection int64   // newest inspection that was seen
}

// Trials keeps the append-only trial record.
type Trials interface {
	// Append stores the entries, all or none, and returns them with ID and Root set. An entry whose key is already in
	// the study's record is not stored again: the stored entry is returned in its place and repeated says so.
	// A known key with other measured content is KindConflict: answering with the stored entry would lose a trial.
	// A correction must name the newest entry of its chain (KindConflict otherwise). A first entry for a planned run
	// that already has a counting trial is KindConflict, as is a correction that would make a second one. A planned
	// run, a corrected entry or a recording that does not exist is KindNotFound. Leases on the runs that were carried
	// out end. The study's state becomes running when it was draft or planned, which counts as an edit of the study.
	Append(ctx context.Context, study ID, entries []Trial) (stored []Trial, repeated []bool, err error)
	// AppendAll stores what the sequence yields as Append does, all or none, without holding it all: for long files.
	// An error that the sequence yields ends it, and is returned. It tells how many entries were stored and how many
	// were known. The sequence must not change the store.
	AppendAll(ctx context.Context, study ID, entries iter.Seq2[*Trial, error]) (stored, repeated int, err error)
	// Counted returns the trials as they count now, by root.
	Counted(ctx context.Context, study ID, f TrialFilter) ([]CountedTrial, error)
	// Changes returns the trials that entries or inspections beyond the position touched, as they count now, by root, and
	// the position reached: applied to the trials as they counted at since, they give those that count at now.
	Changes(ctx context.Context, study ID, since Position) (changed []CountedTrial, now Position, err error)
	// History returns all entries of the chain that the entry belongs to, oldest first, and its inspections.
	History(ctx context.Context, study ID, id TrialID) ([]Trial, []Inspection, error)
	// Inspect stores inspections, all or none; repeated keys as in Append.
	Inspect(ctx context.Context, study ID, list []Inspection) (stored []Inspection, repeated []bool, err error)
	// Mark returns a number that grows with every entry and inspection of the study: equal marks, equal trials.
	Mark(ctx context.Context, study ID) (int64, error)
}

// Judgements keeps second opinions on how trials ended. They leave the trials' [Trials.Mark] as it is.
type Judgements interface {
	// Judge stores judgements, all or none, and returns them with ID and root; repeated keys as in Append. A trial that
	// does not exist in the study is KindNotFound, a known key with another trial, judge or outcome KindConflict.
	Judge(ctx context.Context, study ID, list []Judgement) (stored []Judgement, repeated []bool, err error)
	// Judgements returns all judgements of the study in the order in which they were stored.
	Judgements(ctx context.Context, study ID) ([]Judgement, error)
}

// Cards keeps released pick cards.
type Cards interface {
	Cards(ctx context.Context) ([]Card, error)
	Card(ctx context.Context, id ID) (Card, error)
	// AddCard stores a card; KindConflict if the ID exists.
	AddCard(ctx context.Context, c Card) error
	// WithdrawCard marks a card as withdrawn; KindRefused if it is already.
	WithdrawCard(ctx context.Context, id ID, by, reason string, at time.Time) (Card, error)
}

// Proofs keeps signed proof runs. Their trials are stored by [Trials.Append] and name the run: KindNotFound if the study has
// no such run, KindRefused for a first entry that is older than the signature or whose run is given up, KindConflict for a
// correction that would move a trial to another run.
type Proofs interface {
	// Proofs returns the study's proof runs in the order in which they were signed; an empty study means all.
	Proofs(ctx context.Context, study ID) ([]Proof, error)
	Proof(ctx context.Context, id ID) (Proof, error)
	// SignProof stores a signed run; KindConflict if the ID exists, KindNotFound if its study does not.
	SignProof(ctx context.Context, p Proof) error
	// GiveUpProof marks a run as given up; KindRefused if it is already.
	GiveUpProof(ctx context.Context, id ID, by, reason string, at time.Time) (Proof, error)
}

// Recordings keeps files by their SHA-256.
type Recordings interface {
	// PutRecording stores the content and returns its description; storing the same content twice is one file.
	PutRecording(ctx context.Context, name, mediaType string, content io.Reader) (Recording, error)
	// OpenRecording opens the content by digest. KindNotFound if there is none.
	OpenRecording(ctx context.Context, sha256 string) (io.ReadSeekCloser, Recording, error)
}
