package sqlite

import (
	"context"

	"holdfast/domain"
)

var modelFits = noun[domain.ModelFit]{"model_fit", func(f *domain.ModelFit) domain.ID { return f.ID }, func(f *domain.ModelFit) *domain.Meta { return &f.Meta }}

// ModelFits returns all fits by their ID.
func (l *Lab) ModelFits(ctx context.Context) ([]domain.ModelFit, error) {
	return modelFits.list(ctx, l.read)
}

// ModelFit returns a fit; KindNotFound if there is none.
func (l *Lab) ModelFit(ctx context.Context, id domain.ID) (domain.ModelFit, error) {
	return modelFits.get(ctx, l.read, id)
}

// PutModelFit creates or replaces a fit; see [domain.ModelFits].
func (l *Lab) PutModelFit(ctx context.Context, f domain.ModelFit) (domain.Meta, error) {
	return modelFits.put(ctx, l, f)
}

// modelFaults demands that every fit can be read and lies under its name.
func modelFaults(ctx context.Context, q querier) ([]Fault, error) {
	list, err := modelFits.list(ctx, q)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for _, f := range list {
		if f.ID != domain.ModelFitID(f.Study, f.Condition) {
			faults = append(faults, Fault{false, "model fit " + string(f.ID), "it is of another study or condition than its name says", "Fit the model of that condition again"})
		}
	}
	return faults, nil
}
