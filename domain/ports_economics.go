package domain

import "context"

// Economics keeps what items, hands and the line bring and cost. Put* create and replace as [Catalogue]'s do. Whether the
// item or hand is in the catalogue is not asked.
type Economics interface {
	ItemsEconomics(ctx context.Context) ([]ItemEconomics, error)
	ItemEconomics(ctx context.Context, item ID) (ItemEconomics, error)
	PutItemEconomics(ctx context.Context, e ItemEconomics) (Meta, error)
	HandsEconomics(ctx context.Context) ([]HandEconomics, error)
	HandEconomics(ctx context.Context, hand ID) (HandEconomics, error)
	PutHandEconomics(ctx context.Context, e HandEconomics) (Meta, error)
	// LineEconomics returns the line's figures; KindNotFound until some are put.
	LineEconomics(ctx context.Context) (LineEconomics, error)
	PutLineEconomics(ctx context.Context, e LineEconomics) (Meta, error)
}
