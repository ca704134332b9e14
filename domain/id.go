package domain

import (
	"fmt"
	"strings"
)

// ID names a hand, item, setting, study or card inside a lab: lower-case letters, digits and single hyphens.
type ID string

// Valid says whether the ID is 1 to 64 lower-case letters, digits and single inner hyphens.
func (id ID) Valid() bool {
	if len(id) == 0 || len(id) > 64 || id[0] == '-' || id[len(id)-1] == '-' || strings.Contains(string(id), "--") {
		return false
	}
	for _, c := range []byte(id) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}

// folded spells letters that names in this trade often carry in plain ASCII.
var folded = strings.NewReplacer("é", "e", "è", "e", "ê", "e", "à", "a", "â", "a", "ä", "ae", "ö", "oe", "ü", "ue",
	"ß", "ss", "î", "i", "ô", "o", "û", "u", "ç", "c", "ñ", "n", "å", "a", "ø", "o", "æ", "ae")

// IDFromName derives an ID from a name: lower case, accents folded, everything else a hyphen. The result is valid
// unless the name has no letter or digit.
func IDFromName(name string) ID {
	var b strings.Builder
	gap := false
	for _, c := range folded.Replace(strings.ToLower(name)) {
		if (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(c)
		} else {
			gap = true
		}
	}
	id := b.String()
	if len(id) > 64 {
		id = strings.TrimRight(id[:64], "-")
	}
	return ID(id)
}

// TrialID numbers the entries of the trial record in the order in which they were acknowledged, from 1.
type TrialID int64

// String gives the number with a leading letter, as people say it: T17.
func (id TrialID) String() string { return fmt.Sprintf("T%d", int64(id)) }
