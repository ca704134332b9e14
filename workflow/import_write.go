package workflow

import (
	"context"
	"errors"
	"fmt"

	"holdfast/domain"
)

// importChunk is how many trials travel together from the reading to the storing goroutine.
const importChunk = 2048

// importWrite is one transaction that stores chunks of trials while later rows are still being read.
type importWrite struct {
	chunks  chan []domain.Trial // closed by the reader when all are sent
	abandon chan struct{}       // closed by the reader when nothing shall be stored
	done    chan struct{}       // closed by the writer when the transaction has ended; the fields below are set then

	stored, repeated int
	sent             int // trials handed to the store; when it refused one, that was the last
	err              error
}

var errAbandoned = errors.New("the import was given up")

// keep takes a faultless trial.
func (im *Importer) keep(ctx context.Context, r ImportRow, t domain.Trial) {
	if im.dryRun {
		im.keys = append(im.keys, t.Key)
		return
	}
	if im.gathered == nil {
		im.gathered = make([]domain.Trial, 0, importChunk)
	}
	im.gathered = append(im.gathered, t)
	im.places = append(im.places, place{r.Number, r.Line})
	if len(im.gathered) == importChunk {
		im.send(ctx)
	}
}

// send hands the gathered trials to the writer, which it starts first when there is none. A writer that has ended
// early, because the store refused an entry, takes nothing more; Finish tells why.
func (im *Importer) send(ctx context.Context) {
	if im.writing == nil {
		im.writing = im.write(ctx)
	}
	select {
	case im.writing.chunks <- im.gathered:
	case <-im.writing.done:
	}
	im.gathered = nil
}

func (im *Importer) write(ctx context.Context) *importWrite {
	// A few chunks under way keep both sides busy; more would only take memory.
	w := &importWrite{chunks: make(chan []domain.Trial, 4), abandon: make(chan struct{}), done: make(chan struct{})}
	now := im.lab.Clock.Now()
	go func() {
		defer close(w.done)
		w.stored, w.repeated, w.err = im.lab.Store.AppendAll(ctx, im.kept.study.ID, func(yield func(*domain.Trial, error) bool) {
			for {
				select {
				case <-w.abandon:
					yield(nil, errAbandoned)
					return
				case chunk, more := <-w.chunks:
					if !more {
						return
					}
					for i := range chunk {
						chunk[i].RecordedAt = now
						w.sent++
						if !yield(&chunk[i], nil) {
							return
						}
					}
				}
			}
		})
	}()
	return w
}

// Abandon gives the import up: nothing of it is stored. After [Importer.Finish] it does nothing.
func (im *Importer) Abandon() {
	im.gathered = nil
	if w := im.writing; w != nil {
		im.writing = nil
		close(w.abandon)
		<-w.done
	}
}

// place is where a trial stands in the file.
type place struct{ row, line int }

// atPlace says which row of the file the store refused, and for a key that is taken which column.
func (im *Importer) atPlace(w *importWrite) error {
	e, ok := w.err.(*domain.Error)
	if !ok || e.Kind == domain.KindInternal || w.sent == 0 {
		return w.err
	}
	at := im.places[w.sent-1]
	told := *e
	column := ""
	if e.Kind == domain.KindConflict {
		column = ", column key"
	}
	told.Message = fmt.Sprintf("row %d (line %d)%s: %s", at.row, at.line, column, e.Message)
	return &told
}
