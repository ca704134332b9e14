package sqlite

import (
	"context"

	"holdfast/domain"
)

var (
	itemEconomics = noun[domain.ItemEconomics]{"item_economics", func(e *domain.ItemEconomics) domain.ID { return e.ID }, func(e *domain.ItemEconomics) *domain.Meta { return &e.Meta }}
	handEconomics = noun[domain.HandEconomics]{"hand_economics", func(e *domain.HandEconomics) domain.ID { return e.ID }, func(e *domain.HandEconomics) *domain.Meta { return &e.Meta }}
	lineEconomics = noun[domain.LineEconomics]{"line_economics", func(e *domain.LineEconomics) domain.ID { return e.ID }, func(e *domain.LineEconomics) *domain.Meta { return &e.Meta }}
)

// ItemsEconomics returns all items' figures by item.
func (l *Lab) ItemsEconomics(ctx context.Context) ([]domain.ItemEconomics, error) {
	return itemEconomics.list(ctx, l.read)
}

// ItemEconomics returns an item's figures; KindNotFound if there are none.
func (l *Lab) ItemEconomics(ctx context.Context, item domain.ID) (domain.ItemEconomics, error) {
	return itemEconomics.get(ctx, l.read, item)
}

// PutItemEconomics creates or replaces an item's figures; see [domain.Economics].
func (l *Lab) PutItemEconomics(ctx context.Context, e domain.ItemEconomics) (domain.Meta, error) {
	return itemEconomics.put(ctx, l, e)
}

// HandsEconomics returns all hands' figures by hand.
func (l *Lab) HandsEconomics(ctx context.Context) ([]domain.HandEconomics, error) {
	return handEconomics.list(ctx, l.read)
}

// HandEconomics returns a hand's figures; KindNotFound if there are none.
func (l *Lab) HandEconomics(ctx context.Context, hand domain.ID) (domain.HandEconomics, error) {
	return handEconomics.get(ctx, l.read, hand)
}

// PutHandEconomics creates or replaces a hand's figures; see [domain.Economics].
func (l *Lab) PutHandEconomics(ctx context.Context, e domain.HandEconomics) (domain.Meta, error) {
	return handEconomics.put(ctx, l, e)
}

// LineEconomics returns the line's figures; KindNotFound if there are none.
func (l *Lab) LineEconomics(ctx context.Context) (domain.LineEconomics, error) {
	return lineEconomics.get(ctx, l.read, domain.LineID)
}

// PutLineEconomics creates or replaces the line's figures; see [domain.Economics].
func (l *Lab) PutLineEconomics(ctx context.Context, e domain.LineEconomics) (domain.Meta, error) {
	return lineEconomics.put(ctx, l, e)
}

// economicsFaults demands that every figure can be read, keeps the rules, and belongs to an item or hand that exists.
func economicsFaults(ctx context.Context, q querier) ([]Fault, error) {
	var faults []Fault
	rule := func(where string, err error) {
		if err != nil {
			faults = append(faults, Fault{false, where, "it breaks a rule of this version: " + err.Error(), "Open it on the page and store it again"})
		}
	}
	is, err := itemEconomics.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range is {
		rule("economics of item "+string(is[i].ID), is[i].Validate())
	}
	hs, err := handEconomics.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range hs {
		rule("economics of hand "+string(hs[i].ID), hs[i].Validate())
	}
	ls, err := lineEconomics.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range ls {
		rule("economics of the line", ls[i].Validate())
	}
	for _, query := range []string{
		`SELECT 'economics of item ' || e.id, 'the lab has no such item' FROM item_economics e LEFT JOIN item i ON i.id = e.id WHERE i.id IS NULL ORDER BY 1`,
		`SELECT 'economics of hand ' || e.id, 'the lab has no such hand' FROM hand_economics e LEFT JOIN hand h ON h.id = e.id WHERE h.id IS NULL ORDER BY 1`,
	} {
		rows, err := q.QueryContext(ctx, query)
		if err != nil {
			return nil, wrap("checking the economics", err)
		}
		for rows.Next() {
			f := Fault{Do: "Add it under this name"}
			if err := rows.Scan(&f.Where, &f.What); err != nil {
				rows.Close()
				return nil, wrap("checking the economics", err)
			}
			faults = append(faults, f)
		}
		rows.Close()
		if err := rows.Err(); err != nil {
			return nil, wrap("checking the economics", err)
		}
	}
	return faults, nil
}
