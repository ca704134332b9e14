package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"holdfast/domain"
)

// proofDocument is a plan as a file. What was signed is in it; the rule is computed anew from the design, so that file
// and rule can not differ.
type proofDocument struct {
	Format   string             `json:"format"`
	Design   domain.ProofDesign `json:"design"`
	For      string             `json:"for,omitempty"`
	SignedBy string             `json:"signed_by,omitempty"`
	SignedAt string             `json:"signed_at,omitempty"` // RFC 3339, UTC
	Digest   string             `json:"digest,omitempty"`    // SHA-256 over all other fields, lower-case hex
}

// proofFormat names the document and its version.
const proofFormat = "holdfast-proof-plan/1"

func newProofDocument(d domain.ProofDesign, what string) proofDocument {
	return proofDocument{Format: proofFormat, Design: d, For: strings.TrimSpace(what)}
}

func (p *proofDocument) sign(name string, at time.Time) {
	p.SignedBy, p.SignedAt = strings.TrimSpace(name), at.UTC().Format(time.RFC3339)
	p.Digest = p.digest()
}

// digest is over the document as JSON without its digest, fields in the order above, numbers in their shortest form.
func (p proofDocument) digest() string {
	p.Digest = ""
	raw, err := json.Marshal(p)
	if err != nil { // the document holds only texts and finite numbers
		return ""
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

func (p *proofDocument) signedAt() time.Time {
	at, _ := time.Parse(time.RFC3339, p.SignedAt) // readProofDocument saw that it parses
	return at
}

func (p *proofDocument) write(path string) error {
	return writeFile(path, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(p)
	})
}

// readProofDocument reads a signed plan; one that is not signed, or was changed since, is refused.
func readProofDocument(path string) (p proofDocument, err error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return p, fileError(path, err)
	}
	name := filepath.Base(path)
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(&p); err != nil {
		return p, fmt.Errorf("%s is no plan of a proof run: %w; make one with: holdfast accept plan --out %s", name, err, name)
	}
	if p.Format != proofFormat {
		return p, fmt.Errorf("%s has the format %q; this program reads %q", name, p.Format, proofFormat)
	}
	if p.SignedBy == "" {
		return p, fmt.Errorf("%s is not signed; sign it before the first trial with: holdfast accept plan … --sign NAME --out %s", name, name)
	}
	if _, err := time.Parse(time.RFC3339, p.SignedAt); err != nil {
		return p, fmt.Errorf("%s: signed_at %q is no time; write it like 2026-03-02T07:30:00Z", name, p.SignedAt)
	}
	if p.Digest != p.digest() {
		return p, fmt.Errorf("%s was changed after it was signed: its digest does not match; a proof needs the plan as it was", name)
	}
	return p, nil
}
