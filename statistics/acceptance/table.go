package acceptance

import (
	"slices"
	"strings"

	"holdfast/domain"
)

// Single sampling by attributes, MIL-STD-105E (1989) = ISO 2859-1 in its normal and tightened tables. Sample sizes and the
// ladder of acceptance numbers were read in a copy; which cell holds which number follows from the tables' diagonals, from
// memory: one step down in letter and one step back in quality level keep n·AQL, and with it the number. The tests hold
// every cell against that rule and single cells against published figures.

// Severity is how strictly a table inspects.
type Severity string

// The severities. Reduced inspection belongs to running series of lots only and is left out: an acceptance run is one lot.
const (
	Normal    Severity = "normal"
	Tightened Severity = "tightened"
)

// codeLetters are the sample size code letters in order; I and O are left out, as in the standard.
const codeLetters = "ABCDEFGHJKLMNPQR"

// sampleSizes belong to the code letters (read).
var sampleSizes = [16]int{2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000}

// QualityLevels are the acceptance quality limits of the tables, per cent nonconforming.
var QualityLevels = []float64{0.010, 0.015, 0.025, 0.040, 0.065, 0.10, 0.15, 0.25, 0.40, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5, 10}

// Levels are the inspection levels, special ones first.
var Levels = []string{"S-1", "S-2", "S-3", "S-4", "I", "II", "III"}

// letterTable is Table I: the code letters by lot size (rows, largest lot size of each) and inspection level (columns in
// the order of Levels). From memory.
var letterTable = []struct {
	largest int
	letters string
}{
	{8, "AAAAAAB"}, {15, "AAAAABC"}, {25, "AABBBCD"}, {50, "ABBCCDE"}, {90, "BBCCCEF"}, {150, "BBCDDFG"}, {280, "BCDEEGH"},
	{500, "BCDEFHJ"}, {1200, "CCEFGJK"}, {3200, "CDEGHKL"}, {10_000, "CDFGJLM"}, {35_000, "CDFHKMN"}, {150_000, "DEGJLNP"},
	{500_000, "DEGJMPQ"}, {1 << 62, "DEHKNQR"},
}

// A ladder gives the acceptance numbers by the sum of the indices of letter and quality level, from the first diagonal
// with a number. An arrow is a diagonal without a plan of its own: up leads to the next smaller sample, down to the next
// larger.
const (
	up   = -1
	down = -2
)

type ladder struct {
	first   int
	numbers []int
}

var ladders = map[Severity]ladder{
	Normal:    {14, []int{0, up, down, 1, 2, 3, 5, 7, 10, 14, 21}},
	Tightened: {15, []int{0, up, down, 1, 2, 3, 5, 8, 12, 18}},
}

// Sample is a single sampling plan out of a table.
type Sample struct {
	Letter   string  // of the plan that is used, after following the table's arrows
	Asked    string  // of the lot size and level
	Size     int     // trials; never more than the lot
	Accept   int     // largest number of failures that is accepted
	Quality  float64 // acceptance quality limit, per cent
	Severity Severity
	WholeLot bool // the sample would be as large as the lot: all of it is tried
}

// CodeLetter returns the sample size code letter of a lot size at an inspection level (Table I).
func CodeLetter(lot int, level string) (string, error) {
	column := slices.Index(Levels, strings.ToUpper(level))
	switch {
	case lot < 2:
		return "", wrong("a lot of %d is not sampled; it needs 2 items or more", lot)
	case column < 0:
		return "", wrong("the inspection level %q is not one of %s", level, strings.Join(Levels, ", "))
	}
	for _, row := range letterTable {
		if lot <= row.largest {
			return row.letters[column : column+1], nil
		}
	}
	return "", domain.Internal("reading the table of code letters", nil)
}

// TableSample returns the single sampling plan for a lot size, an inspection level, an acceptance quality limit (per cent)
// and a severity.
func TableSample(lot int, level string, quality float64, severity Severity) (Sample, error) {
	asked, err := CodeLetter(lot, level)
	if err != nil {
		return Sample{}, err
	}
	s, err := TableCell(asked, quality, severity)
	if err != nil {
		return Sample{}, err
	}
	if s.Size >= lot {
		s.Size, s.WholeLot = lot, true
		if s.Accept >= lot {
			return Sample{}, wrong("a lot of %d is too small for a limit of %g %%", lot, quality)
		}
	}
	return s, nil
}

// TableCell returns the plan at a code letter and an acceptance quality limit, following the arrows.
func TableCell(letter string, quality float64, severity Severity) (Sample, error) {
	i, j := strings.Index(codeLetters, strings.ToUpper(letter)), slices.Index(QualityLevels, quality)
	ladder, known := ladders[severity]
	switch {
	case len(letter) != 1 || i < 0:
		return Sample{}, wrong("the code letter %q is not one of %s", letter, codeLetters)
	case j < 0:
		return Sample{}, wrong("the acceptance quality limit %g %% is not in the tables; take one of %v", quality, QualityLevels)
	case !known:
		return Sample{}, wrong("the severity %q is neither normal nor tightened", severity)
	}
	s := Sample{Asked: codeLetters[i : i+1], Quality: quality, Severity: severity}
	number := ladder.at(i + j)
	// At the ends of the alphabet an arrow that points out of the table is turned round.
	way := 1
	if number == up && i > 0 || number == down && i == len(sampleSizes)-1 {
		way = -1
	}
	for number < 0 {
		if i += way; i < 0 || i == len(sampleSizes) {
			return Sample{}, wrong("the tables hold no plan of letter %s at %g %%", s.Asked, quality)
		}
		number = ladder.at(i + j)
	}
	s.Letter, s.Size, s.Accept = codeLetters[i:i+1], sampleSizes[i], number
	return s, nil
}

// at returns the acceptance number of a diagonal, or the arrow that stands there.
func (l ladder) at(diagonal int) int {
	switch step := diagonal - l.first; {
	case step < 0:
		return down
	case step < len(l.numbers):
		return l.numbers[step]
	}
	return up
}
