package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"holdfast/domain"
)

const cardColumns = `SELECT body, withdrawn, withdrawn_by, reason FROM card `

func scanCard(scan func(...any) error) (domain.Card, error) {
	var c domain.Card
	var body []byte
	var withdrawn sql.NullInt64
	var by, reason sql.NullString
	if err := scan(&body, &withdrawn, &by, &reason); err != nil {
		return c, err
	}
	if err := json.Unmarshal(body, &c); err != nil {
		return c, domain.Internal("decoding a stored card", err)
	}
	c.Withdrawn, c.WithdrawnBy, c.Reason = fromStamp(withdrawn), by.String, reason.String
	return c, nil
}

// Cards returns all cards, the newest release first.
func (l *Lab) Cards(ctx context.Context) ([]domain.Card, error) {
	rows, err := l.read.QueryContext(ctx, cardColumns+`ORDER BY released DESC, id`)
	if err != nil {
		return nil, wrap("listing the cards", err)
	}
	defer rows.Close()
	var list []domain.Card
	for rows.Next() {
		c, err := scanCard(rows.Scan)
		if err != nil {
			return nil, wrap("listing the cards", err)
		}
		list = append(list, c)
	}
	return list, wrap("listing the cards", rows.Err())
}

// Card returns the card; KindNotFound if there is none.
func (l *Lab) Card(ctx context.Context, id domain.ID) (domain.Card, error) {
	return readCard(ctx, l.read, id)
}

func readCard(ctx context.Context, q querier, id domain.ID) (domain.Card, error) {
	c, err := scanCard(q.QueryRowContext(ctx, cardColumns+`WHERE id = ?`, string(id)).Scan)
	if isNoRows(err) {
		return c, notFound("card", id)
	}
	return c, wrap("reading a card", err)
}

// AddCard stores a released card. KindConflict if the ID exists, KindNotFound if its study does not.
func (l *Lab) AddCard(ctx context.Context, card domain.Card) error {
	c, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer c.drop()
	card.ReleasedAt = card.ReleasedAt.UTC().Round(0)
	card.Withdrawn, card.WithdrawnBy, card.Reason = time.Time{}, "", ""
	body, err := json.Marshal(card)
	if err != nil {
		return domain.Internal("encoding a card", err)
	}
	_, err = c.ExecContext(c.ctx, `INSERT INTO card (id, study, released, body) VALUES (?, ?, ?, ?)`,
		string(card.ID), string(card.Study), card.ReleasedAt.UnixNano(), string(body))
	switch {
	case isUnique(err):
		return taken("card", card.ID)
	case isForeign(err):
		return notFound("study", card.Study)
	case err != nil:
		return wrap("storing a card", err)
	}
	return c.commit()
}

// WithdrawCard marks a card as withdrawn. KindRefused if it is already, KindNotFound if there is none.
func (l *Lab) WithdrawCard(ctx context.Context, id domain.ID, by, reason string, at time.Time) (domain.Card, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return domain.Card{}, err
	}
	defer c.drop()
	card, err := readCard(c.ctx, c, id)
	if err != nil {
		return card, err
	}
	if !card.Withdrawn.IsZero() {
		return domain.Card{}, domain.Errorf(domain.KindRefused, "card %s was already withdrawn on %s by %s", id, card.Withdrawn.Format(time.DateOnly), card.WithdrawnBy)
	}
	card.Withdrawn, card.WithdrawnBy, card.Reason = at.UTC().Round(0), by, reason
	if _, err := c.ExecContext(c.ctx, `UPDATE card SET withdrawn = ?, withdrawn_by = ?, reason = ? WHERE id = ?`,
		card.Withdrawn.UnixNano(), by, reason, string(id)); err != nil {
		return domain.Card{}, wrap("withdrawing a card", err)
	}
	if err := c.commit(); err != nil {
		return domain.Card{}, err
	}
	return card, nil
}
