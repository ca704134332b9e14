package faults

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"holdfast/domain"
)

type plain string

func (p plain) String() string           { return string(p) }
func (p plain) Entry() domain.FieldError { return domain.FieldError{Field: "f", Reason: string(p)} }

func TestFaultsAreToldAndCounted(t *testing.T) {
	l := &List[plain]{File: "a\x1b[2J.csv"}
	if err := l.OrNil(); err != nil {
		t.Fatal(err)
	}
	l.Add("first")
	if text := l.OrNil().Error(); text != `"a\x1b[2J.csv": 1 fault, so nothing was taken from it`+"\n  first" {
		t.Error(text)
	}
	for range Most + 4 {
		l.Add("again")
	}
	text := l.Error()
	if l.Count() != Most+5 || len(l.Faults) != Most || !strings.Contains(text, "55 faults") || !strings.HasSuffix(text, "and 5 more") {
		t.Errorf("%d faults, %d kept: %s", l.Count(), len(l.Faults), text)
	}
	var d *domain.Error
	if !errors.As(l.OrNil(), &d) || d.Kind != domain.KindInvalid || len(d.Fields) != Most || d.Fields[0].Reason != "first" {
		t.Errorf("%+v", d)
	}
}

func TestShortenKeepsWholeCharacters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, most := rapid.String().Draw(t, "text"), rapid.IntRange(4, 40).Draw(t, "most")
		short := Shorten(s, most)
		if !utf8.ValidString(short) || len(short) > most+len("…") || (len(s) <= most) != (short == s) {
			t.Fatalf("%q at %d: %q", s, most, short)
		}
	})
}
