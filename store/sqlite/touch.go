package sqlite

import (
	"context"
	"encoding/json"
	"fmt"

	"holdfast/domain"
)

const newestLabel = `SELECT c.id, c.hand, c.key, c.recording, c.body, l.id, l.body FROM touch_clip c
	JOIN touch_label l ON l.id = (SELECT max(id) FROM touch_label WHERE clip = c.id) `

func readTouchClips(ctx context.Context, q querier, where string, args ...any) ([]domain.TouchClip, error) {
	rows, err := q.QueryContext(ctx, newestLabel+where+` ORDER BY c.id`, args...)
	if err != nil {
		return nil, wrap("reading clips", err)
	}
	defer rows.Close()
	var list []domain.TouchClip
	for rows.Next() {
		var columns, clip domain.TouchClip
		var body, label []byte
		if err := rows.Scan(&columns.ID, &columns.Hand, &columns.Key, &columns.Recording, &body, &columns.Label.ID, &label); err != nil {
			return nil, wrap("reading clips", err)
		}
		if err := json.Unmarshal(body, &clip); err != nil {
			return nil, domain.Internal("decoding a stored clip", err)
		}
		if err := json.Unmarshal(label, &clip.Label); err != nil {
			return nil, domain.Internal("decoding a stored label", err)
		}
		clip.ID, clip.Hand, clip.Key, clip.Recording, clip.Label.Clip, clip.Label.ID = columns.ID, columns.Hand, columns.Key, columns.Recording, columns.ID, columns.Label.ID
		list = append(list, clip)
	}
	return list, wrap("reading clips", rows.Err())
}

// TouchClips returns a hand's clips with their newest labels; see [domain.TouchSounds].
func (l *Lab) TouchClips(ctx context.Context, hand domain.ID) ([]domain.TouchClip, error) {
	return readTouchClips(ctx, l.read, `WHERE c.hand = ?`, string(hand))
}

// AddTouchClips stores clips, all or none; see [domain.TouchSounds].
func (l *Lab) AddTouchClips(ctx context.Context, list []domain.TouchClip) (stored []domain.TouchClip, repeated []bool, err error) {
	c, err := l.begin(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer c.drop()
	stored, repeated = make([]domain.TouchClip, len(list)), make([]bool, len(list))
	for i := range list {
		if stored[i], repeated[i], err = c.addTouchClip(list[i]); err != nil {
			return nil, nil, atRow(err, i, len(list))
		}
	}
	if err := c.commit(); err != nil {
		return nil, nil, err
	}
	return stored, repeated, nil
}

func (c *change) addTouchClip(clip domain.TouchClip) (domain.TouchClip, bool, error) {
	if _, err := hands.get(c.ctx, c, clip.Hand); err != nil {
		return clip, false, err
	}
	if err := c.hasRecording(clip.Recording); err != nil {
		return clip, false, err
	}
	clip.ID, clip.Recorded = 0, clip.Recorded.Round(0).UTC()
	body := clip
	body.Hand, body.Key, body.Recording, body.Label = "", "", "", domain.TouchLabel{}
	raw, err := json.Marshal(body)
	if err != nil {
		return clip, false, domain.Internal("encoding a clip", err)
	}
	err = c.QueryRowContext(c.ctx, `INSERT INTO touch_clip (hand, key, recording, body) VALUES (?, ?, ?, ?)
		ON CONFLICT (hand, key) DO NOTHING RETURNING id`, string(clip.Hand), clip.Key, clip.Recording, string(raw)).Scan(&clip.ID)
	if err == nil {
		clip.Label.Clip = clip.ID
		clip.Label, err = c.addTouchLabel(clip.Label)
		return clip, false, err
	}
	if !isNoRows(err) {
		return clip, false, wrap("storing a clip", err)
	}
	old, err := readTouchClips(c.ctx, c, `WHERE c.hand = ? AND c.key = ?`, string(clip.Hand), clip.Key)
	if err != nil || len(old) == 0 {
		return clip, false, wrap("reading a clip", err)
	}
	if old[0].Recording != clip.Recording {
		return clip, false, domain.Errorf(domain.KindConflict, "key %q is already used by clip %d with another sound; give every clip a key of its own", clip.Key, old[0].ID)
	}
	return old[0], true, nil
}

func (c *change) hasRecording(sha string) error {
	var one int
	err := c.QueryRowContext(c.ctx, `SELECT 1 FROM recording WHERE sha256 = ?`, sha).Scan(&one)
	if isNoRows(err) {
		return noRecording(sha)
	}
	return wrap("looking for a recording", err)
}

func (c *change) addTouchLabel(label domain.TouchLabel) (domain.TouchLabel, error) {
	label.At = label.At.Round(0).UTC()
	body := label
	body.Clip, body.ID = 0, 0
	raw, err := json.Marshal(body)
	if err != nil {
		return label, domain.Internal("encoding a label", err)
	}
	err = c.QueryRowContext(c.ctx, `INSERT INTO touch_label (clip, body) VALUES (?, ?) RETURNING id`, label.Clip, string(raw)).Scan(&label.ID)
	return label, wrap("storing a label", err)
}

func noClip(hand domain.ID, id int64) error {
	return domain.Errorf(domain.KindNotFound, "hand %q has no clip %d in this lab", hand, id)
}

// LabelTouchClips adds labels, all or none; see [domain.TouchSounds].
func (l *Lab) LabelTouchClips(ctx context.Context, hand domain.ID, list []domain.TouchLabel) error {
	c, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer c.drop()
	for _, label := range list {
		if found, err := readTouchClips(c.ctx, c, `WHERE c.hand = ? AND c.id = ?`, string(hand), label.Clip); err != nil {
			return err
		} else if len(found) == 0 {
			return noClip(hand, label.Clip)
		}
		if _, err := c.addTouchLabel(label); err != nil {
			return err
		}
	}
	return c.commit()
}

// TouchLabels returns all labels of a clip, oldest first; see [domain.TouchSounds].
func (l *Lab) TouchLabels(ctx context.Context, hand domain.ID, clip int64) ([]domain.TouchLabel, error) {
	rows, err := l.read.QueryContext(ctx, `SELECT l.id, l.body FROM touch_label l JOIN touch_clip c ON c.id = l.clip WHERE c.hand = ? AND c.id = ? ORDER BY l.id`, string(hand), clip)
	if err != nil {
		return nil, wrap("reading labels", err)
	}
	defer rows.Close()
	var list []domain.TouchLabel
	for rows.Next() {
		var id int64
		var body []byte
		label := domain.TouchLabel{}
		if err := rows.Scan(&id, &body); err != nil {
			return nil, wrap("reading labels", err)
		}
		if err := json.Unmarshal(body, &label); err != nil {
			return nil, domain.Internal("decoding a stored label", err)
		}
		label.Clip, label.ID = clip, id
		list = append(list, label)
	}
	if err := rows.Err(); err != nil {
		return nil, wrap("reading labels", err)
	}
	if len(list) == 0 {
		return nil, noClip(hand, clip)
	}
	return list, nil
}

func readTouchModels(ctx context.Context, q querier, where string, args ...any) ([]domain.TouchModel, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, hand, recording, body FROM touch_model `+where+` ORDER BY id`, args...)
	if err != nil {
		return nil, wrap("reading touch models", err)
	}
	defer rows.Close()
	var list []domain.TouchModel
	for rows.Next() {
		var columns, m domain.TouchModel
		var body []byte
		if err := rows.Scan(&columns.ID, &columns.Hand, &columns.Recording, &body); err != nil {
			return nil, wrap("reading touch models", err)
		}
		if err := json.Unmarshal(body, &m); err != nil {
			return nil, domain.Internal("decoding a stored touch model", err)
		}
		m.ID, m.Hand, m.Recording = columns.ID, columns.Hand, columns.Recording
		list = append(list, m)
	}
	return list, wrap("reading touch models", rows.Err())
}

// TouchModels returns a hand's models, oldest first.
func (l *Lab) TouchModels(ctx context.Context, hand domain.ID) ([]domain.TouchModel, error) {
	return readTouchModels(ctx, l.read, `WHERE hand = ?`, string(hand))
}

// AddTouchModel stores a model; see [domain.TouchSounds].
func (l *Lab) AddTouchModel(ctx context.Context, m domain.TouchModel) (domain.TouchModel, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return m, err
	}
	defer c.drop()
	if _, err := hands.get(c.ctx, c, m.Hand); err != nil {
		return m, err
	}
	if err := c.hasRecording(m.Recording); err != nil {
		return m, err
	}
	m.ID, m.TrainedAt = 0, m.TrainedAt.Round(0).UTC()
	body := m
	body.Hand, body.Recording = "", ""
	raw, err := json.Marshal(body)
	if err != nil {
		return m, domain.Internal("encoding a touch model", err)
	}
	if err := c.QueryRowContext(c.ctx, `INSERT INTO touch_model (hand, recording, body) VALUES (?, ?, ?) RETURNING id`, string(m.Hand), m.Recording, string(raw)).Scan(&m.ID); err != nil {
		return m, wrap("storing a touch model", err)
	}
	return m, c.commit()
}

// touchFaults demands that every clip and model can be read, and that clips keep the rules that they were stored by.
func touchFaults(ctx context.Context, q querier) ([]Fault, error) {
	clips, err := readTouchClips(ctx, q, ``)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for i := range clips {
		if err := clips[i].Validate(); err != nil {
			faults = append(faults, Fault{true, fmt.Sprintf("clip %d", clips[i].ID), err.Error(), fromBackup})
		}
	}
	_, err = readTouchModels(ctx, q, ``)
	return faults, err
}
