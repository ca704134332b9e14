package domain

import "context"

// TouchSounds keeps sounds of hands being touched, what is said of them, and what was learnt. All three are append-only.
type TouchSounds interface {
	// TouchClips returns a hand's clips in the order in which they were stored, each with its newest label. Whether the hand
	// is in the catalogue is not asked.
	TouchClips(ctx context.Context, hand ID) ([]TouchClip, error)
	// AddTouchClips stores clips with their first labels, all or none, and returns them with ID; repeated says which keys the
	// hand's clips had already, with the stored clip returned in their place. A hand or recording that does not exist is
	// KindNotFound, a known key with another recording KindConflict.
	AddTouchClips(ctx context.Context, list []TouchClip) (stored []TouchClip, repeated []bool, err error)
	// LabelTouchClips adds labels to clips of the hand, all or none; KindNotFound if the hand has no such clip.
	LabelTouchClips(ctx context.Context, hand ID, list []TouchLabel) error
	// TouchLabels returns all labels of a clip of the hand, oldest first; KindNotFound if the hand has no such clip.
	TouchLabels(ctx context.Context, hand ID, clip int64) ([]TouchLabel, error)
	// TouchModels returns a hand's models, oldest first.
	TouchModels(ctx context.Context, hand ID) ([]TouchModel, error)
	// AddTouchModel stores a model; KindNotFound if hand or recording does not exist.
	AddTouchModel(ctx context.Context, m TouchModel) (TouchModel, error)
}
