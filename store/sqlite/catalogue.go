package sqlite

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"holdfast/domain"
)

// noun says how one kind of catalogue entry is kept.
type noun[T any] struct {
	table string // also its name in sentences
	id    func(*T) domain.ID
	meta  func(*T) *domain.Meta
}

var (
	hands    = noun[domain.Hand]{"hand", func(h *domain.Hand) domain.ID { return h.ID }, func(h *domain.Hand) *domain.Meta { return &h.Meta }}
	items    = noun[domain.Item]{"item", func(i *domain.Item) domain.ID { return i.ID }, func(i *domain.Item) *domain.Meta { return &i.Meta }}
	settings = noun[domain.Setting]{"setting", func(s *domain.Setting) domain.ID { return s.ID }, func(s *domain.Setting) *domain.Meta { return &s.Meta }}
)

// encode gives the body of a noun without the part of its Meta that has columns.
func (n noun[T]) encode(v T) ([]byte, error) {
	m := n.meta(&v)
	*m = domain.Meta{Invented: m.Invented}
	body, err := json.Marshal(v)
	if err != nil {
		return nil, domain.Internal("encoding a "+n.table, err)
	}
	return body, nil
}

func (n noun[T]) decode(body []byte, revision int, created, updated int64) (T, error) {
	var v T
	if err := json.Unmarshal(body, &v); err != nil {
		return v, domain.Internal("decoding a stored "+n.table, err)
	}
	m := n.meta(&v)
	m.Revision, m.Created, m.Updated = revision, fromNanos(created), fromNanos(updated)
	return v, nil
}

func (n noun[T]) list(ctx context.Context, q querier) ([]T, error) {
	step := "listing the " + n.table + "s"
	rows, err := q.QueryContext(ctx, fmt.Sprintf(`SELECT body, revision, created, updated FROM %s ORDER BY id`, n.table))
	if err != nil {
		return nil, wrap(step, err)
	}
	defer rows.Close()
	var list []T
	for rows.Next() {
		var body []byte
		var revision int
		var created, updated int64
		if err := rows.Scan(&body, &revision, &created, &updated); err != nil {
			return nil, wrap(step, err)
		}
		v, err := n.decode(body, revision, created, updated)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	return list, wrap(step, rows.Err())
}

func (n noun[T]) get(ctx context.Context, q querier, id domain.ID) (T, error) {
	var body []byte
	var revision int
	var created, updated int64
	err := q.QueryRowContext(ctx, fmt.Sprintf(`SELECT body, revision, created, updated FROM %s WHERE id = ?`, n.table), string(id)).
		Scan(&body, &revision, &created, &updated)
	if err != nil {
		var zero T
		if isNoRows(err) {
			return zero, notFound(n.table, id)
		}
		return zero, wrap("reading a "+n.table, err)
	}
	return n.decode(body, revision, created, updated)
}

func (n noun[T]) put(ctx context.Context, l *Lab, v T) (domain.Meta, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return domain.Meta{}, err
	}
	defer c.drop()
	body, err := n.encode(v)
	if err != nil {
		return domain.Meta{}, err
	}
	id, given := string(n.id(&v)), *n.meta(&v)
	now := l.clock.Now().UTC()
	meta := domain.Meta{Revision: given.Revision + 1, Created: now, Updated: now, Invented: given.Invented}
	if given.Revision == 0 {
		_, err = c.ExecContext(c.ctx, fmt.Sprintf(`INSERT INTO %s (id, revision, created, updated, body) VALUES (?, 1, ?, ?, ?)`, n.table),
			id, now.UnixNano(), now.UnixNano(), string(body))
		if isUnique(err) {
			return domain.Meta{}, taken(n.table, domain.ID(id))
		}
	} else {
		var created int64
		err = c.QueryRowContext(c.ctx, fmt.Sprintf(`UPDATE %s SET revision = revision + 1, updated = ?, body = ? WHERE id = ? AND revision = ? RETURNING created`, n.table),
			now.UnixNano(), string(body), id, given.Revision).Scan(&created)
		if isNoRows(err) {
			return domain.Meta{}, missed(c.ctx, c, n.table, domain.ID(id), given.Revision)
		}
		meta.Created = fromNanos(created)
	}
	if err != nil {
		return domain.Meta{}, wrap("storing a "+n.table, err)
	}
	return meta, c.commit()
}

// missed explains why no row had the revision that an edit named.
func missed(ctx context.Context, q querier, table string, id domain.ID, revision int) error {
	var stored int
	err := q.QueryRowContext(ctx, fmt.Sprintf(`SELECT revision FROM %s WHERE id = ?`, table), string(id)).Scan(&stored)
	if isNoRows(err) {
		return notFound(table, id)
	}
	if err != nil {
		return wrap("reading a "+table, err)
	}
	return domain.Errorf(domain.KindStale, "%s %s was changed meanwhile: you edited revision %d, the stored one is %d; load it again and repeat your change",
		spoken(table), id, revision, stored)
}

// spoken is what a table is called in sentences.
func spoken(table string) string { return strings.ReplaceAll(table, "_", " ") }

func notFound(table string, id domain.ID) error {
	return domain.Errorf(domain.KindNotFound, "there is no %s %q in this lab", spoken(table), id)
}

func taken(table string, id domain.ID) error {
	return domain.Errorf(domain.KindConflict, "there is a %s %q already; choose another name, or edit that one", spoken(table), id)
}

// Hands returns all hands by ID.
func (l *Lab) Hands(ctx context.Context) ([]domain.Hand, error) { return hands.list(ctx, l.read) }

// Hand returns the hand; KindNotFound if there is none.
func (l *Lab) Hand(ctx context.Context, id domain.ID) (domain.Hand, error) {
	return hands.get(ctx, l.read, id)
}

// PutHand creates or replaces a hand; see [domain.Catalogue].
func (l *Lab) PutHand(ctx context.Context, h domain.Hand) (domain.Meta, error) {
	return hands.put(ctx, l, h)
}

// Items returns all items by ID.
func (l *Lab) Items(ctx context.Context) ([]domain.Item, error) { return items.list(ctx, l.read) }

// Item returns the item; KindNotFound if there is none.
func (l *Lab) Item(ctx context.Context, id domain.ID) (domain.Item, error) {
	return items.get(ctx, l.read, id)
}

// PutItem creates or replaces an item; see [domain.Catalogue].
func (l *Lab) PutItem(ctx context.Context, it domain.Item) (domain.Meta, error) {
	return items.put(ctx, l, it)
}

// Settings returns all settings by ID.
func (l *Lab) Settings(ctx context.Context) ([]domain.Setting, error) {
	return settings.list(ctx, l.read)
}

// Setting returns the setting; KindNotFound if there is none.
func (l *Lab) Setting(ctx context.Context, id domain.ID) (domain.Setting, error) {
	return settings.get(ctx, l.read, id)
}

// PutSetting creates or replaces a setting; see [domain.Catalogue].
func (l *Lab) PutSetting(ctx context.Context, s domain.Setting) (domain.Meta, error) {
	return settings.put(ctx, l, s)
}
