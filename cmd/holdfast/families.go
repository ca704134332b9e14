package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"holdfast/orient"
	"holdfast/statistics/family"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

// familyReport is what one item borrows.
type familyReport struct {
	Item     string        `json:"item"`
	Sentence string        `json:"sentence"`
	Own      int           `json:"own_trials"`
	Worth    float64       `json:"borrowed_trials"` // own trials that would bring as much
	OwnShare float64       `json:"own_share"`       // of the information
	Trust    float64       `json:"probability_related"`
	Weight   float64       `json:"weight_of_family"`
	Donors   []familyDonor `json:"donors"`
	Rows     int           `json:"rows"`
	rows     []tables.MapRow
}

type familyDonor struct {
	Item     string  `json:"item"`
	Trials   int     `json:"trials"`
	Likeness float64 `json:"likeness"`
	Share    float64 `json:"share"`
}

// borrow runs fit --families.
func (c *fitCommand) borrow(env *environment, columns *tables.ColumnMap, symmetry orient.Symmetry) error {
	items, err := readFeatures(c.Families)
	if err != nil {
		return badInput(err)
	}
	if err := c.observe(items, columns); err != nil {
		return badInput(err)
	}
	name := c.For
	if name == "" {
		least := math.Inf(1)
		for _, it := range items {
			if n := float64(len(it.Observations)); n < least {
				name, least = it.Name, n
			}
		}
	}
	if !slices.ContainsFunc(items, func(it family.Item) bool { return it.Name == name }) {
		return usageError{fmt.Errorf("--for %s: there is no such item in %s", name, filepath.Base(c.Families))}
	}
	f, err := family.Fit(env.ctx, items, family.Options{Symmetry: symmetry})
	if err != nil {
		return badInput(err)
	}
	b, err := f.Borrow(env.ctx, name)
	if err != nil {
		return err
	}
	r := familyReport{Item: name, Sentence: b.Sentence, Own: int(b.Own), Worth: b.Worth, OwnShare: b.OwnShare, Trust: b.Trust, Weight: b.Weight, Donors: []familyDonor{}}
	for _, d := range b.Donors {
		r.Donors = append(r.Donors, familyDonor{d.Item, int(d.Trials), d.Likeness, d.Share})
	}
	if err := r.predict(b, items); err != nil {
		return err
	}
	if c.Out != "" {
		if err := r.write(c.Out); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

// predict estimates the item's success at every orientation that any item was tried at.
func (r *familyReport) predict(b *family.Borrowed, items []family.Item) error {
	seen := map[orient.Rotation]bool{}
	var rs []orient.Rotation
	for _, it := range items {
		for _, o := range it.Observations {
			if !seen[o.R] {
				seen[o.R] = true
				rs = append(rs, o.R)
			}
		}
	}
	est := make([]family.Estimate, len(rs))
	if err := b.Predict(est, rs); err != nil {
		return err
	}
	for i, e := range est {
		r.rows = append(r.rows, tables.MapRow{Rotation: rs[i], P: e.P, Low: e.Low, High: e.High, Blurred: math.NaN()})
	}
	r.Rows = len(r.rows)
	return nil
}

// write leaves the item's map and what it borrowed in the folder.
func (r *familyReport) write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fileError(dir, err)
	}
	if err := writeFile(filepath.Join(dir, "map.csv"), func(w io.Writer) error { return tables.WriteMap(w, tables.CSV, r.rows) }); err != nil {
		return err
	}
	return writeFile(filepath.Join(dir, "borrowed.csv"), func(w io.Writer) error {
		out := csv.NewWriter(w)
		rows := [][]string{{"item", "trials", "likeness", "share"}}
		for _, d := range r.Donors {
			rows = append(rows, []string{tables.SafeText(d.Item), strconv.Itoa(d.Trials), strconv.FormatFloat(d.Likeness, 'g', 5, 64), strconv.FormatFloat(d.Share, 'g', 5, 64)})
		}
		return out.WriteAll(rows)
	})
}

func (r *familyReport) print(out io.Writer) error {
	fmt.Fprintf(out, "%s: %s\n", r.Item, r.Sentence)
	if len(r.Donors) == 0 {
		return nil
	}
	fmt.Fprintf(out, "Probability that the others speak for it: %.2f; weight of the family in its map: %.2f; own share of the information: %.2f.\n\n", r.Trust, r.Weight, r.OwnShare)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "lends\ttrials\tlikeness\tshare")
	for _, d := range r.Donors {
		fmt.Fprintf(w, "%s\t%d\t%.2f\t%.2f\n", d.Item, d.Trials, d.Likeness, d.Share)
	}
	return w.Flush()
}

// observe reads the trials into their items.
func (c *fitCommand) observe(items []family.Item, columns *tables.ColumnMap) error {
	index := map[string]int{}
	for i := range items {
		index[items[i].Name] = i
	}
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return err
	}
	defer closeFile()
	trials := 0
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		at, ok := index[r.Item]
		switch {
		case r.Item == "":
			return fmt.Errorf("%s, row %d: no item is given; name it in the column item", filepath.Base(c.Trials), r.Number)
		case !ok:
			return fmt.Errorf("%s, row %d: item %s has no row in %s; add it there, with what is known of it", filepath.Base(c.Trials), r.Number, r.Item, filepath.Base(c.Families))
		}
		o := successmap.Observation{R: r.Rotation, Trials: 1}
		if r.Outcome == "held" {
			o.Held = 1
		}
		items[at].Observations = append(items[at].Observations, o)
		trials++
		return nil
	})
	if err == nil && trials == 0 {
		err = fmt.Errorf("%s holds no trial that counts", filepath.Base(c.Trials))
	}
	return err
}

// mostItems bounds a family: its model grows with every item.
const mostItems = 40

// featureColumns are the columns of figures with the factor that turns them into SI units.
var featureColumns = []struct {
	name string
	unit float64
	set  func(*family.Features, float64)
}{
	{"size_mm", 1e-3, func(f *family.Features, v float64) { f.Size = v }},
	{"mass_g", 1e-3, func(f *family.Features, v float64) { f.Mass = v }},
	{"stiffness_N_per_mm", 1e3, func(f *family.Features, v float64) { f.Stiffness = v }},
	{"friction", 1, func(f *family.Features, v float64) { f.Friction = v }},
}

// readFeatures reads a file of items. Empty cells are not known.
func readFeatures(path string) ([]family.Item, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	base := filepath.Base(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", base, err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("%s needs a row of names (item, shape, size_mm, mass_g, stiffness_N_per_mm, friction) and a row for each item", base)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[strings.ToLower(strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")))] = i
	}
	if _, ok := at["item"]; !ok {
		return nil, fmt.Errorf("%s has no column item", base)
	}
	if len(rows)-1 > mostItems {
		return nil, fmt.Errorf("%s lists %d items; a family may have %d", base, len(rows)-1, mostItems)
	}
	cell := func(row []string, column string) string {
		if i, ok := at[strings.ToLower(column)]; ok && i < len(row) {
			return strings.TrimSpace(row[i])
		}
		return ""
	}
	var items []family.Item
	for n, row := range rows[1:] {
		it := family.Item{Name: cell(row, "item"), Features: family.Features{Shape: cell(row, "shape")}}
		if it.Name == "" {
			return nil, fmt.Errorf("%s, row %d: the item has no name", base, n+1)
		}
		for _, c := range featureColumns {
			text := cell(row, c.name)
			if text == "" {
				continue
			}
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || !(v > 0) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("%s, row %d, column %s: %q is not a positive number; leave it empty if it is not known", base, n+1, c.name, text)
			}
			c.set(&it.Features, v*c.unit)
		}
		if slices.ContainsFunc(items, func(o family.Item) bool { return o.Name == it.Name }) {
			return nil, fmt.Errorf("%s, row %d: item %s is listed twice", base, n+1, it.Name)
		}
		items = append(items, it)
	}
	return items, nil
}
