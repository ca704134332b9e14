package workflow

import (
	"context"
	"runtime"
	"sync"

	"holdfast/domain"
)

// Options wires a [Lab]. Store, Bus, Clock and Seed are needed.
type Options struct {
	Store   domain.Store
	Bus     domain.Bus
	Clock   domain.Clock
	Seed    func() uint64 // draws the seed of a study that names none
	Name    string        // what the lab is called, such as its folder's name
	Version string        // of the program
	Workers int           // goroutines for one computation; 0: as many as there are processors
}

// Lab is one lab at work. It is safe for concurrent use.
type Lab struct {
	Options
	studies    *studyCache
	maps       *mapCache
	tolerances *toleranceCache
	proposals  *proposalCache
	layouts    layouts
	records    recordCache
	proofs     proofCache
	families   *familyCache
	models     models
	touches    touches
	feels      feels
}

// New returns the use cases over what it is handed.
func New(o Options) *Lab {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	return &Lab{
		Options: o, studies: newStudyCache(), maps: newMapCache(), tolerances: newToleranceCache(), families: newFamilyCache(),
		proposals: newProposalCache(),
	}
}

// studyCache keeps studies and plans between requests, so that logging a trial needs no query. The store belongs to
// this process alone, and every edit goes through this package, which forgets what it edits.
type studyCache struct {
	mu   sync.Mutex
	kept map[domain.ID]*keptStudy
	// epoch counts forgettings, so that a load that began before an edit is not kept after it.
	epoch uint64
}

// keptStudy is a study with its plan; its parts are never changed after it was stored.
type keptStudy struct {
	study domain.Study
	runs  []domain.PlannedRun // in order; runs[i].Order may be looked up through byOrder
	byRun map[int]int         // Order → index into runs
}

func newStudyCache() *studyCache { return &studyCache{kept: map[domain.ID]*keptStudy{}} }

func (c *studyCache) get(id domain.ID) (*keptStudy, uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.kept[id], c.epoch
}

func (c *studyCache) put(id domain.ID, k *keptStudy, epoch uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.epoch != epoch {
		return
	}
	if len(c.kept) >= 64 {
		clear(c.kept)
	}
	c.kept[id] = k
}

func (c *studyCache) forget(id domain.ID) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.epoch++
	delete(c.kept, id)
}

// kept returns a study with its plan, from memory when it is there.
func (l *Lab) kept(ctx context.Context, id domain.ID) (*keptStudy, error) {
	k, epoch := l.studies.get(id)
	if k != nil {
		return k, nil
	}
	s, err := l.Store.Study(ctx, id)
	if err != nil {
		return nil, err
	}
	runs, err := l.Store.Plan(ctx, id)
	if err != nil {
		return nil, err
	}
	k = &keptStudy{study: s, runs: runs, byRun: make(map[int]int, len(runs))}
	for i, r := range runs {
		k.byRun[r.Order] = i
	}
	l.studies.put(id, k, epoch)
	return k, nil
}

func (l *Lab) changed(topic string, study domain.ID, id string) {
	l.Bus.Publish(domain.Event{Topic: topic, Study: study, ID: id})
}
