package domain

import "context"

// ModelFits keeps simulations fitted to bench trials. Put creates and replaces as [Catalogue]'s do.
type ModelFits interface {
	// ModelFits returns all fits by their ID.
	ModelFits(ctx context.Context) ([]ModelFit, error)
	ModelFit(ctx context.Context, id ID) (ModelFit, error)
	PutModelFit(ctx context.Context, f ModelFit) (Meta, error)
}
