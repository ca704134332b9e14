package orient

import "math"

// Index finds, among a fixed list of orientations, the one nearest to a measured orientation under a symmetry. It is
// safe for concurrent use.
type Index struct {
	sym    Symmetry
	sp     *space
	points []Rotation
	tree   *tree
}

// NewIndex prepares the search among points, which are not copied and must not change.
func NewIndex(points []Rotation, s Symmetry) *Index {
	sp := newSpace(s)
	embedded := make([]vec4, len(points))
	for i, p := range points {
		embedded[i] = sp.embed(s.Canonical(p))
	}
	return &Index{sym: s, sp: sp, points: points, tree: newTree(embedded)}
}

// Nearest returns the index of the point nearest to r and its distance (rad); of several equally near within rounding,
// any one, but always the same. An empty list gives −1 and π.
func (ix *Index) Nearest(r Rotation) (index int, distance float64) {
	index, _ = ix.tree.nearest(ix.sp, ix.sp.embed(r), -1, 4)
	if index < 0 {
		return -1, math.Pi
	}
	return index, ix.sym.Distance(ix.points[index], r)
}

// Nearest returns the index of the one of points nearest to r under s, and its distance (rad); −1 and π for an empty
// list. For many questions to one list, [NewIndex] is faster.
func (s Symmetry) Nearest(points []Rotation, r Rotation) (index int, distance float64) {
	index, distance = -1, math.Pi
	for i, p := range points {
		if d := s.Distance(p, r); index < 0 || d < distance {
			index, distance = i, d
		}
	}
	return index, distance
}

// tree is a bounding-box tree over points of a space. A question is asked for every image of the asked point, which
// the root's box mostly turns away, so the tree stays small however large the symmetry.
type tree struct {
	points []vec4
	order  []int32 // indices of points, each node owning a stretch
	nodes  []treeNode
}

type treeNode struct {
	low, high   vec4
	from, to    int32
	left, right int32 // 0: a leaf
}

const leafSize = 6

func newTree(points []vec4) *tree {
	t := &tree{points: points, order: make([]int32, len(points))}
	for i := range t.order {
		t.order[i] = int32(i)
	}
	if len(points) > 0 {
		t.nodes = make([]treeNode, 0, 2*len(points)/leafSize+1)
		t.grow(0, int32(len(points)))
	}
	return t
}

func (t *tree) grow(from, to int32) int32 {
	n := treeNode{from: from, to: to, low: t.points[t.order[from]], high: t.points[t.order[from]]}
	for _, i := range t.order[from:to] {
		for a, x := range t.points[i] {
			n.low[a], n.high[a] = math.Min(n.low[a], x), math.Max(n.high[a], x)
		}
	}
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, n)
	if to-from <= leafSize {
		return at
	}
	axis := 0
	for a := range n.low {
		if n.high[a]-n.low[a] > n.high[axis]-n.low[axis] {
			axis = a
		}
	}
	mid := from + (to-from)/2
	t.split(t.order[from:to], int(mid-from), axis)
	left := t.grow(from, mid)
	right := t.grow(mid, to)
	t.nodes[at].left, t.nodes[at].right = left, right
	return at
}

// split reorders so that the k smallest along the axis come first (Hoare's quickselect).
func (t *tree) split(order []int32, k, axis int) {
	lo, hi := 0, len(order)-1
	for lo < hi {
		pivot := t.points[order[(lo+hi)/2]][axis]
		i, j := lo, hi
		for i <= j {
			for t.points[order[i]][axis] < pivot {
				i++
			}
			for t.points[order[j]][axis] > pivot {
				j--
			}
			if i <= j {
				order[i], order[j] = order[j], order[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
}

func (n *treeNode) distance2(v vec4) float64 {
	sum := 0.0
	for a, x := range v {
		if d := n.low[a] - x; d > 0 {
			sum += d * d
		} else if d := x - n.high[a]; d > 0 {
			sum += d * d
		}
	}
	return sum
}

// nearest returns the point nearest to any image of v, other than the point skip, and the squared chord; −1 if none
// is nearer than limit (a squared chord).
func (t *tree) nearest(sp *space, v vec4, skip int, limit float64) (int, float64) {
	if len(t.nodes) == 0 {
		return -1, limit
	}
	best, best2 := int32(-1), math.Nextafter(limit, math.Inf(1))
	for g := range sp.images {
		u := sp.images[g].apply(v)
		if t.nodes[0].distance2(u) < best2 {
			t.descend(0, u, int32(skip), &best, &best2)
		}
	}
	return int(best), best2
}

func (t *tree) descend(at int32, v vec4, skip int32, best *int32, best2 *float64) {
	n := &t.nodes[at]
	if n.left == 0 {
		for _, i := range t.order[n.from:n.to] {
			if i != skip {
				if d := v.chord2(t.points[i]); d < *best2 {
					*best, *best2 = i, d
				}
			}
		}
		return
	}
	near, far := n.left, n.right
	dn, df := t.nodes[near].distance2(v), t.nodes[far].distance2(v)
	if df < dn {
		near, far, dn, df = far, near, df, dn
	}
	if dn < *best2 {
		t.descend(near, v, skip, best, best2)
	}
	if df < *best2 {
		t.descend(far, v, skip, best, best2)
	}
}

// within calls found with every point and image index for which the image of v lies nearer to the point than the
// squared chord limit.
func (t *tree) within(sp *space, v vec4, limit float64, found func(point, image int32)) {
	if len(t.nodes) == 0 {
		return
	}
	for g := range sp.images {
		u := sp.images[g].apply(v)
		if t.nodes[0].distance2(u) < limit {
			t.collect(0, u, limit, int32(g), found)
		}
	}
}

func (t *tree) collect(at int32, v vec4, limit float64, image int32, found func(point, image int32)) {
	n := &t.nodes[at]
	if n.left == 0 {
		for _, i := range t.order[n.from:n.to] {
			if v.chord2(t.points[i]) < limit {
				found(i, image)
			}
		}
		return
	}
	for _, child := range [2]int32{n.left, n.right} {
		if t.nodes[child].distance2(v) < limit {
			t.collect(child, v, limit, image, found)
		}
	}
}
