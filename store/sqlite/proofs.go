package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"holdfast/domain"
)

const proofColumns = `SELECT p.body, p.given_up, p.given_up_by, p.reason FROM proof p `

func scanProof(scan func(...any) error) (domain.Proof, error) {
	var p domain.Proof
	var body []byte
	var givenUp sql.NullInt64
	var by, reason sql.NullString
	if err := scan(&body, &givenUp, &by, &reason); err != nil {
		return p, err
	}
	if err := json.Unmarshal(body, &p); err != nil {
		return p, domain.Internal("decoding a stored proof run", err)
	}
	p.GivenUp, p.GivenUpBy, p.Reason = fromStamp(givenUp), by.String, reason.String
	return p, nil
}

func readProofs(ctx context.Context, q querier, where string, args ...any) ([]domain.Proof, error) {
	rows, err := q.QueryContext(ctx, proofColumns+where+` ORDER BY p.signed, p.rowid`, args...)
	if err != nil {
		return nil, wrap("listing the proof runs", err)
	}
	defer rows.Close()
	var list []domain.Proof
	for rows.Next() {
		p, err := scanProof(rows.Scan)
		if err != nil {
			return nil, wrap("listing the proof runs", err)
		}
		list = append(list, p)
	}
	return list, wrap("listing the proof runs", rows.Err())
}

// Proofs returns the study's proof runs in the order in which they were signed; see [domain.Proofs].
func (l *Lab) Proofs(ctx context.Context, study domain.ID) ([]domain.Proof, error) {
	if study == "" {
		return readProofs(ctx, l.read, ``)
	}
	n, err := l.note(ctx, l.read, study)
	if err != nil {
		return nil, err
	}
	return readProofs(ctx, l.read, `WHERE p.study = ?`, n.num)
}

// Proof returns the run; KindNotFound if there is none.
func (l *Lab) Proof(ctx context.Context, id domain.ID) (domain.Proof, error) {
	return readProof(ctx, l.read, id)
}

func readProof(ctx context.Context, q querier, id domain.ID) (domain.Proof, error) {
	p, err := scanProof(q.QueryRowContext(ctx, proofColumns+`WHERE p.id = ?`, string(id)).Scan)
	if isNoRows(err) {
		return p, notFound("proof run", id)
	}
	return p, wrap("reading a proof run", err)
}

// SignProof stores a signed run; see [domain.Proofs].
func (l *Lab) SignProof(ctx context.Context, p domain.Proof) error {
	c, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer c.drop()
	p.SignedAt = p.SignedAt.UTC().Round(0)
	p.GivenUp, p.GivenUpBy, p.Reason = time.Time{}, "", ""
	body, err := json.Marshal(p)
	if err != nil {
		return domain.Internal("encoding a proof run", err)
	}
	n, err := l.note(c.ctx, c, p.Study)
	if err != nil {
		return err
	}
	_, err = c.ExecContext(c.ctx, `INSERT INTO proof (id, study, signed, body) VALUES (?, ?, ?, ?)`, string(p.ID), n.num, p.SignedAt.UnixNano(), string(body))
	switch {
	case isUnique(err):
		return taken("proof run", p.ID)
	case err != nil:
		return wrap("storing a proof run", err)
	}
	return c.commit()
}

// GiveUpProof marks a run as given up. KindRefused if it is already, KindNotFound if there is none.
func (l *Lab) GiveUpProof(ctx context.Context, id domain.ID, by, reason string, at time.Time) (domain.Proof, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return domain.Proof{}, err
	}
	defer c.drop()
	p, err := readProof(c.ctx, c, id)
	if err != nil {
		return p, err
	}
	if !p.GivenUp.IsZero() {
		return domain.Proof{}, givenUp(p)
	}
	p.GivenUp, p.GivenUpBy, p.Reason = at.UTC().Round(0), by, reason
	if _, err := c.ExecContext(c.ctx, `UPDATE proof SET given_up = ?, given_up_by = ?, reason = ? WHERE id = ?`,
		p.GivenUp.UnixNano(), by, reason, string(id)); err != nil {
		return domain.Proof{}, wrap("giving up a proof run", err)
	}
	if err := c.commit(); err != nil {
		return domain.Proof{}, err
	}
	return p, nil
}

func givenUp(p domain.Proof) error {
	return domain.Errorf(domain.KindRefused, "proof run %s was given up on %s by %s; sign another", p.ID, p.GivenUp.Format(time.DateOnly), p.GivenUpBy)
}

// admitProof checks an entry against the proof run that it names, and a correction against its trial's.
func (a *appending) admitProof(t *domain.Trial) error {
	if t.Corrects != 0 {
		var kept sql.NullString
		if err := a.QueryRowContext(a.ctx, `SELECT proof FROM trial WHERE id = ?`, int64(t.Corrects)).Scan(&kept); err != nil {
			return wrap("reading the corrected trial", err)
		}
		if kept.String != string(t.Proof) {
			return domain.Errorf(domain.KindConflict, "%v can not be moved into, out of or between proof runs by a correction: a run's trials are those that were made for it", t.Corrects)
		}
		return nil
	}
	if t.Proof == "" {
		return nil
	}
	p, err := readProof(a.ctx, a, t.Proof)
	switch {
	case err != nil:
		return err
	case p.Study != a.study:
		return domain.Errorf(domain.KindNotFound, "proof run %s belongs to study %s, not to %s", p.ID, p.Study, a.study)
	case !p.GivenUp.IsZero():
		return givenUp(p)
	case t.RecordedAt.Before(p.SignedAt) || !t.StartedAt.IsZero() && t.StartedAt.Before(p.SignedAt):
		return domain.Errorf(domain.KindRefused, "the trial is older than the signature of proof run %s (%s); only later trials prove anything", p.ID, p.SignedAt.Format(time.RFC3339))
	}
	return nil
}

// proofFaults demands that what was signed still has its digest.
func proofFaults(ctx context.Context, q querier) ([]Fault, error) {
	list, err := readProofs(ctx, q, ``)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for _, p := range list {
		if p.Sum() != p.Digest {
			faults = append(faults, Fault{true, "proof run " + string(p.ID), "it was changed after it was signed: its digest does not match", fromBackup})
		}
	}
	return faults, nil
}
