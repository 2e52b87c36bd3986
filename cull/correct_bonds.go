package cull

// bonds are places that are in one moment (a disjoint-set forest: Tarjan, Journal
// of the ACM 22, 1975), and places that must not be. Corrections are taken in from
// the last to the first and the automatic moments after them, so that what is said
// later is there already when it contradicts.
type bonds struct {
	up    []int32
	size  []int32
	sides map[int32]map[int]side // by root: number of a split → which side of it
	alone map[int32]bool         // by root: nothing joins it
}

// side says on which side of a split places are; both where a later correction
// had joined some of each.
type side uint8

const (
	before side = 1
	after  side = 2
)

func newBonds(n int) *bonds {
	b := &bonds{up: make([]int32, n), size: make([]int32, n),
		sides: map[int32]map[int]side{}, alone: map[int32]bool{}}
	for i := range b.up {
		b.up[i], b.size[i] = int32(i), 1
	}
	return b
}

func (b *bonds) root(place int) int32 {
	i := int32(place)
	for b.up[i] != i {
		b.up[i] = b.up[b.up[i]]
		i = b.up[i]
	}
	return i
}

// join bonds places in their order, each with the nearest before it that it may be
// with.
func (b *bonds) join(places []int) {
	var heads []int32 // of the moments that this makes
next:
	for _, i := range places {
		r := b.root(i)
		if b.alone[r] {
			continue
		}
		for k := len(heads) - 1; k >= 0; k-- {
			h := b.root(int(heads[k]))
			if h != r && b.apart(h, r) {
				continue
			}
			heads[k] = b.unite(h, r)
			continue next
		}
		heads = append(heads, r)
	}
}

// apart reports whether a split stands between two moments.
func (b *bonds) apart(x, y int32) bool {
	small, large := b.sides[x], b.sides[y]
	if len(small) > len(large) {
		small, large = large, small
	}
	for split, s := range small {
		if t := large[split]; s&before != 0 && t&after != 0 || s&after != 0 && t&before != 0 {
			return true
		}
	}
	return false
}

func (b *bonds) unite(x, y int32) int32 {
	if x == y {
		return x
	}
	if b.size[x] < b.size[y] {
		x, y = y, x
	}
	b.up[y] = x
	b.size[x] += b.size[y]
	small, large := b.sides[y], b.sides[x]
	if len(small) > len(large) {
		small, large = large, small
	}
	if large != nil {
		for split, s := range small {
			large[split] |= s
		}
		b.sides[x] = large
	}
	return x
}

// split notes that places stand on one side of a split.
func (b *bonds) split(number int, places []int, s side) {
	for _, i := range places {
		r := b.root(i)
		if b.sides[r] == nil {
			b.sides[r] = map[int]side{}
		}
		b.sides[r][number] |= s
	}
}

// takeOut leaves places by themselves, unless a later correction has joined them.
func (b *bonds) takeOut(places []int) {
	for _, i := range places {
		if r := b.root(i); b.size[r] == 1 {
			b.alone[r] = true
		}
	}
}
