package additive

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdfast/orient"
)

// Names of the columns that trials of hands have. Offsets are in m, the closing command runs from 0 to 1. An item's size (m)
// and mass (kg) enter by their natural logarithms, because what changes with them changes by ratios.
const (
	ItemSize = "item_size"
	ItemMass = "item_mass"
	Closing  = "closing"
	OffsetX  = "offset_x"
	OffsetY  = "offset_y"
	Strategy = "strategy"
	Hand     = "hand"
	Item     = "item"
	Setting  = "setting"
	Block    = "block"
	Operator = "operator"
)

// NotGiven is the level of trials that do not name theirs while others do.
const NotGiven = "(not given)"

// times parts a factor from what its levels deviate on, in the words of [Parse].
const times = "*"

var factors = []string{Strategy, Hand, Item, Setting, Block, Operator}

// Varied lists a term for everything that varies in the trials, and says in sentences what was left out and why. A column
// of numbers that some trials lack is left out; trials that lack a level share [NotGiven].
func Varied(d *Data, s orient.Symmetry) (terms []Term, notes []string) {
	turned := distinctOrientations(d, s) > 1
	if turned {
		terms = append(terms, OrientationTerm(s))
	}
	numbers := func(name string) bool {
		varies, whole := variesWholly(d.Numbers[name])
		if varies && !whole {
			notes = append(notes, fmt.Sprintf("%s is left out: some trials do not give it.", name))
		}
		return varies && whole
	}
	if numbers(Closing) {
		terms = append(terms, SmoothTerm(Closing))
	}
	x, y := numbers(OffsetX), numbers(OffsetY)
	switch {
	case x && y:
		terms = append(terms, OffsetTerm("offset", OffsetX, OffsetY))
	case x:
		terms = append(terms, SmoothTerm(OffsetX))
	case y:
		terms = append(terms, SmoothTerm(OffsetY))
	}
	for _, v := range []string{ItemSize, ItemMass} {
		if numbers(v) {
			terms = append(terms, SmoothTerm(v))
		}
	}
	for _, f := range factors {
		if d.fillLevels(f) > 1 {
			terms = append(terms, FactorTerm(f))
		}
	}
	if turned && d.fillLevels(Strategy) > 1 {
		terms = append(terms, FactorByOrientation(Strategy, s))
	}
	return terms, notes
}

// FeatureNotes says in sentences what the reader must know of terms in size and mass of items: how few values speak, that
// the term item takes up what they leave, and what the folds can not show.
func FeatureNotes(d *Data, terms []Term) (notes []string) {
	var of, few []string
	for _, t := range terms {
		for _, v := range t.Variables {
			if t.By != "" || v != ItemSize && v != ItemMass {
				continue
			}
			of = append(of, v)
			if n := distinctNumbers(d.Numbers[v]); 4*n <= len(d.Numbers[v]) {
				few = append(few, fmt.Sprintf("%s took %d different values", v, n))
			}
		}
	}
	if of == nil {
		return nil
	}
	if few != nil {
		notes = append(notes, fmt.Sprintf("%s in %d trials. What is said here is said by so many items, and by all else that sets them apart, such as shape, firmness and surface.", strings.Join(few, " and "), d.Len()))
	}
	if slices.ContainsFunc(terms, func(t Term) bool { return t.Name == Item }) {
		return append(notes, fmt.Sprintf("The term item takes up what %s leave and can stand in for them, and every fold has trials of the same items: little is lost without any one of them, and how well they foretell an item never tried is not scored.", strings.Join(of, " and ")))
	}
	if d.fillLevels(Item) > 1 {
		notes = append(notes, "Without the term item, trials of one item count as independent evidence on its size and mass, and their intervals come out too narrow.")
	}
	return notes
}

func distinctNumbers(column []float64) int {
	seen := map[float64]bool{}
	for _, v := range column {
		seen[v] = true
	}
	return len(seen)
}

// Parse reads terms from a comma list: orientation, closing, offset, offset_x, offset_y, item_size, item_mass, a factor
// (strategy, hand, item, setting, block, operator), or a factor and one of the former joined by *, such as strategy*orientation.
func Parse(text string, d *Data, s orient.Symmetry) ([]Term, error) {
	var list []Term
	for _, word := range strings.Split(text, ",") {
		word = strings.TrimSpace(word)
		factor, of, joined := strings.Cut(word, times)
		if !joined {
			of = word
			factor = ""
		}
		factor, of = strings.TrimSpace(factor), strings.TrimSpace(of)
		t, err := plainTerm(of, s)
		if err != nil {
			return nil, err
		}
		if joined {
			if !slices.Contains(factors, factor) || t.By != "" {
				return nil, fmt.Errorf("term %q is not understood: write a factor (%s) * orientation, closing, offset, item_size or item_mass", word, strings.Join(factors, ", "))
			}
			t.By = factor
			t.Name = factor + " × " + t.Name
		}
		if t.By != "" && d.fillLevels(t.By) < 1 {
			return nil, fmt.Errorf("term %q: no trial names its %s", word, t.By)
		}
		list = append(list, t)
	}
	return list, nil
}

func plainTerm(word string, s orient.Symmetry) (Term, error) {
	switch {
	case word == "orientation":
		return OrientationTerm(s), nil
	case word == Closing, word == OffsetX, word == OffsetY, word == ItemSize, word == ItemMass:
		return SmoothTerm(word), nil
	case word == "offset":
		return OffsetTerm("offset", OffsetX, OffsetY), nil
	case slices.Contains(factors, word):
		return FactorTerm(word), nil
	}
	return Term{}, fmt.Errorf("term %q is not known: write orientation, closing, offset, offset_x, offset_y, item_size, item_mass, %s, or two of them such as strategy*orientation", word, strings.Join(factors, ", "))
}

// Groups are the labels that keep trials together when a model is scored: blocks where there are at least five, else nil,
// which stands for distinct orientations. what says which.
func Groups(d *Data) (groups []string, what string) {
	if d.fillLevels(Block) >= 5 {
		return d.Levels[Block], "blocks"
	}
	return nil, "orientations"
}

// fillLevels names the levels not given and returns how many different ones there are, 0 when none is given.
func (d *Data) fillLevels(factor string) int {
	seen := map[string]bool{}
	for _, l := range d.Levels[factor] {
		seen[l] = true
	}
	if len(seen) == 0 || len(seen) == 1 && seen[""] {
		return 0
	}
	if seen[""] {
		for i, l := range d.Levels[factor] {
			if l == "" {
				d.Levels[factor][i] = NotGiven
			}
		}
	}
	return len(seen)
}

func variesWholly(column []float64) (varies, whole bool) {
	low, high := math.Inf(1), math.Inf(-1)
	whole = len(column) > 0
	for _, v := range column {
		if math.IsNaN(v) {
			whole = false
			continue
		}
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return high > low, whole
}

func distinctOrientations(d *Data, s orient.Symmetry) int {
	points, _ := s.Distinct(d.Orientations)
	return len(points)
}

// BlockName is the level of a numbered block.
func BlockName(number int) string { return strconv.Itoa(number) }
