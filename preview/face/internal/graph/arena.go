package graph

import (
	"cmp"
	"slices"

	"garner/preview/face/internal/nn"
)

// maxArena is how many values the tensors of a network may take together at one
// time; the larger of the two networks takes 0.8 million.
const maxArena = 1 << 23

// lane is what places are rounded up to: 64 bytes.
const lane = 16

// block is memory for one tensor and its views, from the node that makes it to the
// last one that reads it.
type block struct {
	size, first, last int
	at                int
}

// place gives every tensor that is made its place in one piece of memory. Tensors
// that are not needed at the same time may share it. Of views, with the number of
// the tensor that holds their values, there are none of the input.
func (n *network) place() (tensors map[int]*nn.Tensor, views map[int]int, err error) {
	views = n.views()
	blocks := n.blocks(views)
	size := arrange(blocks)
	if size > maxArena {
		return nil, nil, unsupported("tensors of %d values at one time", size)
	}
	memory := make([]float32, size)
	tensors = map[int]*nn.Tensor{n.in: {}}
	for _, node := range n.nodes {
		t, b := &n.tensors[node.out], blocks[home(views, node.out)]
		end := b.at + t.values()
		tensors[node.out] = &nn.Tensor{H: t.h, W: t.w, C: t.c, Data: memory[b.at:end:end]}
	}
	for i, c := range n.consts {
		tensors[i] = c
	}
	return tensors, views, nil
}

// home is the tensor that holds the values of one.
func home(views map[int]int, i int) int {
	if v, ok := views[i]; ok {
		return v
	}
	return i
}

// blocks returns what needs a place.
func (n *network) blocks(views map[int]int) map[int]*block {
	blocks := map[int]*block{}
	for k, node := range n.nodes {
		if home(views, node.out) == node.out {
			size := (n.tensors[node.out].values() + lane - 1) / lane * lane
			blocks[node.out] = &block{size: size, first: k, last: k}
		}
		for _, i := range node.in {
			if b := blocks[home(views, i)]; b != nil {
				b.last = k
			}
		}
	}
	for _, o := range n.out {
		if b := blocks[home(views, o)]; b != nil {
			b.last = len(n.nodes)
		}
	}
	return blocks
}

// views returns the tensors whose values are those of another.
func (n *network) views() map[int]int {
	views := map[int]int{}
	for _, node := range n.nodes {
		in := home(views, node.in[0])
		if n.consts[in] != nil || in == n.in || !n.same(node) {
			continue
		}
		views[node.out] = in
	}
	return views
}

// same reports whether a node only says its input again.
func (n *network) same(node node) bool {
	switch op := node.op.(type) {
	case view:
		return true
	case slice:
		t := &n.tensors[node.in[0]]
		return op == slice{end: [3]int{t.h, t.w, t.c}, step: [3]int{1, 1, 1}}
	}
	return false
}

// arrange places blocks, the largest first, each where it fits lowest among those
// that are needed at the same time, and returns the size of it all.
func arrange(blocks map[int]*block) int {
	var list []*block
	for _, b := range blocks {
		list = append(list, b)
	}
	slices.SortFunc(list, func(a, b *block) int {
		return cmp.Or(cmp.Compare(b.size, a.size), cmp.Compare(a.first, b.first))
	})
	total := 0
	var placed []*block // by their place
	for _, b := range list {
		for _, p := range placed {
			if p.first <= b.last && b.first <= p.last && p.at < b.at+b.size {
				b.at = max(b.at, p.at+p.size)
			}
		}
		i, _ := slices.BinarySearchFunc(placed, b, func(x, y *block) int { return cmp.Compare(x.at, y.at) })
		placed = slices.Insert(placed, i, b)
		total = max(total, b.at+b.size)
	}
	return total
}
