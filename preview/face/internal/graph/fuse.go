package graph

import (
	"slices"

	"garner/preview/face/internal/nn"
)

// fuse joins nodes that can be done in one go: an activation with what comes before
// it, a sum with the convolution that makes one side of it, zeros for channels that
// a sum lacks with that sum. A tensor that only one node reads disappears by it.
func (n *network) fuse() {
	f := fuser{n, make([]int, len(n.tensors)), make([]int, len(n.tensors)), make([]bool, len(n.nodes))}
	for i := range f.maker {
		f.maker[i] = -1
	}
	for k, node := range n.nodes {
		f.maker[node.out] = k
		for _, i := range node.in {
			f.readers[i]++
		}
	}
	for _, o := range n.out {
		f.readers[o]++
	}
	for k := range n.nodes {
		switch op := n.nodes[k].op.(type) {
		case activation:
			f.activate(k, op)
		case sum:
			f.sum(k, 0, op)
			if !f.gone[k] && len(n.nodes[k].in) == 2 {
				f.sum(k, 1, op)
			}
		}
	}
	kept := n.nodes[:0]
	for k, node := range n.nodes {
		if !f.gone[k] {
			kept = append(kept, node)
		}
	}
	n.nodes = kept
}

type fuser struct {
	*network
	maker   []int  // which node makes a tensor; -1 for none
	readers []int  // how many read it
	gone    []bool // nodes that are part of another now
}

// only returns the node whose result is read by one node alone.
func (f *fuser) only(i int) (int, bool) {
	return f.maker[i], f.maker[i] >= 0 && f.readers[i] == 1
}

// activate lets the node before an activation do it.
func (f *fuser) activate(k int, a activation) {
	p, ok := f.only(f.nodes[k].in[0])
	if !ok {
		return
	}
	switch op := f.nodes[p].op.(type) {
	case conv:
		if op.Act != nn.None {
			return
		}
		op.Act, op.Slope = a.act, a.slope
		f.nodes[p].op = op
	case depthwise:
		if op.Act != nn.None {
			return
		}
		op.Act, op.Slope = a.act, a.slope
		f.nodes[p].op = op
	case sum:
		if op.act != nn.None {
			return
		}
		f.nodes[p].op = sum(a)
	default:
		return
	}
	f.nodes[p].out = f.nodes[k].out
	f.maker[f.nodes[k].out] = p
	f.gone[k] = true
}

// sum lets the convolution that makes one side of a sum do it. That moves to the
// place of the sum, where the other side is there too.
func (f *fuser) sum(k, side int, s sum) {
	node := f.nodes[k]
	p, ok := f.only(node.in[side])
	if !ok {
		return
	}
	op, ok := f.nodes[p].op.(conv)
	if !ok || op.Act != nn.None || len(f.nodes[p].in) != 1 {
		return
	}
	other := node.in[1-side]
	t, o := &f.tensors[node.out], &f.tensors[other]
	if made := &f.tensors[node.in[side]]; !slices.Equal([]int{made.h, made.w, made.c, o.h, o.w, o.c}, []int{t.h, t.w, t.c, t.h, t.w, t.c}) {
		return // one side is repeated
	}
	if q, ok := f.only(other); ok {
		if z, ok := f.nodes[q].op.(pad); ok && z.channels() {
			f.gone[q] = true
			other = f.nodes[q].in[0]
		}
	}
	op.Act = s.act // an activation of its own comes later
	f.gone[p] = true
	f.nodes[k].in = []int{f.nodes[p].in[0], other}
	f.nodes[k].op = op
}
