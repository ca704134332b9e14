package touch

import (
	"fmt"
	"sort"
)

// Neighbours tells the zone that most of the nearest training clips have, by Euclidean distance.
type Neighbours struct {
	K      int    `json:"k"`
	Zones  int    `json:"zones"`
	Clips  Packed `json:"clips"`
	ZoneOf []int  `json:"zone_of"`
}

// FitNeighbours keeps the training clips. k is at least 1 and at most their number.
func FitNeighbours(x Matrix, zone []int, zones, k int) (*Neighbours, error) {
	if k < 1 || k > x.Rows {
		return nil, fmt.Errorf("%d neighbours can not be asked of %d clips", k, x.Rows)
	}
	n := &Neighbours{K: k, Zones: zones, ZoneOf: append([]int(nil), zone...)}
	for i := range x.Rows {
		n.Clips = append(n.Clips, single(x.Row(i)))
	}
	return n, nil
}

// Probabilities writes the neighbours' shares by zone into dst. Of equally far clips the earlier one counts first.
func (n *Neighbours) Probabilities(dst, row []float64) {
	type near struct {
		d float64
		i int
	}
	list := make([]near, 0, n.K+1)
	for i, c := range n.Clips {
		d := 0.0
		for j, v := range row {
			e := v - c[j]
			d += e * e
		}
		if len(list) == n.K && d >= list[n.K-1].d {
			continue
		}
		at := sort.Search(len(list), func(a int) bool { return list[a].d > d })
		list = append(list, near{})
		copy(list[at+1:], list[at:])
		list[at] = near{d, i}
		list = list[:min(len(list), n.K)]
	}
	clear(dst[:n.Zones])
	for _, l := range list {
		dst[n.ZoneOf[l.i]] += 1 / float64(len(list))
	}
}

func (n *Neighbours) tell(row, scratch []float64) int {
	n.Probabilities(scratch, row)
	return largest(scratch[:n.Zones])
}

func (n *Neighbours) zones() int { return n.Zones }
