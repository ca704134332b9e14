package design

import "holdfast/numeric"

// AddedOffsets draws the placement offsets (m) of n runs that are added to a plan after the run numbered after. Like those
// of the plan itself they follow a scrambled Sobol' sequence; each batch has one of its own, from the plan's seed.
func AddedOffsets(o Offset, seed uint64, after, n int) ([][3]float64, error) {
	source, err := newOffsetSource(o, numeric.Stream(seed, "offsets of added runs", after))
	if err != nil {
		return nil, err
	}
	list := make([][3]float64, n)
	for i := range list {
		list[i] = source.next()
	}
	return list, nil
}
