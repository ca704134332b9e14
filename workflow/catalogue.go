package workflow

import (
	"context"

	"holdfast/domain"
)

// Hands returns all hands.
func (l *Lab) Hands(ctx context.Context) ([]domain.Hand, error) { return l.Store.Hands(ctx) }

// Hand returns one hand; KindNotFound if there is none.
func (l *Lab) Hand(ctx context.Context, id domain.ID) (domain.Hand, error) {
	return l.Store.Hand(ctx, id)
}

// SaveHand stores a hand: a new one when its revision is 0 (its ID is made from the name when empty), else an edit of
// exactly that revision (KindStale otherwise).
func (l *Lab) SaveHand(ctx context.Context, h domain.Hand) (domain.Hand, error) {
	nameID(&h.ID, h.Name)
	if err := h.Validate(); err != nil {
		return h, err
	}
	meta, err := l.Store.PutHand(ctx, h)
	if err != nil {
		return h, err
	}
	h.Meta = meta
	l.changed("hand", "", string(h.ID))
	return h, nil
}

// Items returns all items.
func (l *Lab) Items(ctx context.Context) ([]domain.Item, error) { return l.Store.Items(ctx) }

// Item returns one item; KindNotFound if there is none.
func (l *Lab) Item(ctx context.Context, id domain.ID) (domain.Item, error) {
	return l.Store.Item(ctx, id)
}

// SaveItem stores an item as [Lab.SaveHand] does a hand.
func (l *Lab) SaveItem(ctx context.Context, it domain.Item) (domain.Item, error) {
	nameID(&it.ID, it.Name)
	if err := it.Validate(); err != nil {
		return it, err
	}
	meta, err := l.Store.PutItem(ctx, it)
	if err != nil {
		return it, err
	}
	it.Meta = meta
	l.changed("item", "", string(it.ID))
	return it, nil
}

// Settings returns all settings.
func (l *Lab) Settings(ctx context.Context) ([]domain.Setting, error) { return l.Store.Settings(ctx) }

// Setting returns one setting; KindNotFound if there is none.
func (l *Lab) Setting(ctx context.Context, id domain.ID) (domain.Setting, error) {
	return l.Store.Setting(ctx, id)
}

// SaveSetting stores a setting as [Lab.SaveHand] does a hand.
func (l *Lab) SaveSetting(ctx context.Context, s domain.Setting) (domain.Setting, error) {
	nameID(&s.ID, s.Name)
	if err := s.Validate(); err != nil {
		return s, err
	}
	meta, err := l.Store.PutSetting(ctx, s)
	if err != nil {
		return s, err
	}
	s.Meta = meta
	l.changed("setting", "", string(s.ID))
	return s, nil
}

func nameID(id *domain.ID, name string) {
	if *id == "" {
		*id = domain.IDFromName(name)
	}
}
