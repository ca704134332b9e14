package workflow

import (
	"context"

	"holdfast/domain"
)

// ItemEconomics returns what picking an item brings and costs; where nothing was stored yet, what such figures start
// from, with revision 0. KindNotFound if the lab has no such item.
func (l *Lab) ItemEconomics(ctx context.Context, item domain.ID) (domain.ItemEconomics, error) {
	e, err := l.Store.ItemEconomics(ctx, item)
	if domain.KindOf(err) != domain.KindNotFound {
		return e, err
	}
	if _, err := l.Store.Item(ctx, item); err != nil {
		return e, err
	}
	return domain.DefaultItemEconomics(item), nil
}

// SaveItemEconomics stores an item's figures: new ones when the revision is 0, else an edit of exactly that revision.
func (l *Lab) SaveItemEconomics(ctx context.Context, e domain.ItemEconomics) (domain.ItemEconomics, error) {
	if err := e.Validate(); err != nil {
		return e, err
	}
	if _, err := l.Store.Item(ctx, e.ID); err != nil {
		return e, err
	}
	meta, err := l.Store.PutItemEconomics(ctx, e)
	if err != nil {
		return e, err
	}
	e.Meta = meta
	l.changed("economics", "", string(e.ID))
	return e, nil
}

// HandEconomics returns what keeping a hand costs, as [Lab.ItemEconomics] does for items.
func (l *Lab) HandEconomics(ctx context.Context, hand domain.ID) (domain.HandEconomics, error) {
	e, err := l.Store.HandEconomics(ctx, hand)
	if domain.KindOf(err) != domain.KindNotFound {
		return e, err
	}
	if _, err := l.Store.Hand(ctx, hand); err != nil {
		return e, err
	}
	return domain.HandEconomics{ID: hand}, nil
}

// SaveHandEconomics stores a hand's figures as [Lab.SaveItemEconomics] does an item's.
func (l *Lab) SaveHandEconomics(ctx context.Context, e domain.HandEconomics) (domain.HandEconomics, error) {
	if err := e.Validate(); err != nil {
		return e, err
	}
	if _, err := l.Store.Hand(ctx, e.ID); err != nil {
		return e, err
	}
	meta, err := l.Store.PutHandEconomics(ctx, e)
	if err != nil {
		return e, err
	}
	e.Meta = meta
	l.changed("economics", "", string(e.ID))
	return e, nil
}

// LineEconomics returns what the line costs; what such figures start from, with revision 0, when none were stored.
func (l *Lab) LineEconomics(ctx context.Context) (domain.LineEconomics, error) {
	e, err := l.Store.LineEconomics(ctx)
	if domain.KindOf(err) == domain.KindNotFound {
		return domain.DefaultLineEconomics(), nil
	}
	return e, err
}

// SaveLineEconomics stores the line's figures as [Lab.SaveItemEconomics] does an item's.
func (l *Lab) SaveLineEconomics(ctx context.Context, e domain.LineEconomics) (domain.LineEconomics, error) {
	e.ID = domain.LineID
	if err := e.Validate(); err != nil {
		return e, err
	}
	meta, err := l.Store.PutLineEconomics(ctx, e)
	if err != nil {
		return e, err
	}
	e.Meta = meta
	l.changed("economics", "", string(e.ID))
	return e, nil
}
