// Package workflow holds the use cases in the order of the work: keep the catalogue of hands, items and settings, write
// a study, draw up its plan, run it, map its outcomes, choose a region of orientations and release a pick card.
//
// It is handed a [domain.Store], a [domain.Bus], a [domain.Clock] and a source of seeds; it knows nothing of HTTP,
// files or flags. Every error that a person can act on is a [domain.Error]. All quantities are SI, as in package
// domain.
package workflow
