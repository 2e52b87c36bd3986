package vfstest

import (
	"maps"
	"math/rand/v2"
	"slices"
)

// sector is the unit that a device writes whole or not at all, in bytes.
const sector = 512

// syncNames makes the names of a folder durable. A rename that ends in the
// folder and began in another one is durable in both: it is one operation.
func (m *Mem) syncNames(dir *node) {
	var rest []nameOp
	for _, op := range m.pending {
		if op.from != dir && op.to != dir {
			rest = append(rest, op)
			continue
		}
		if op.from != nil && op.from != dir {
			if op.from.durable[op.fromKey].node == op.node {
				delete(op.from.durable, op.fromKey)
			}
			// The name that was moved away can't come back by itself.
			rest = slices.DeleteFunc(rest, func(o nameOp) bool {
				return o.node == op.node && o.to == op.from && o.toKey == op.fromKey
			})
		}
		if op.to != nil && op.to != dir {
			op.to.durable[op.toKey] = entry{op.toName, op.node}
		}
	}
	dir.durable = maps.Clone(dir.entries)
	m.pending = rest
}

// CrashClone returns the file system as it may look after the power failed now
// and came back; see the package's doc for what that means. Equal states and
// random sources give equal clones. The clone has no faults, no counts and power.
func (m *Mem) CrashClone(rng *rand.Rand) *Mem {
	m.mu.Lock()
	defer m.mu.Unlock()
	opt := m.opt
	c := New(opt)
	c.now, c.nextID = m.now, m.nextID

	// Names first: durable ones, and of the pending changes some.
	names := map[*node]map[string]entry{}
	of := func(dir *node) map[string]entry {
		if names[dir] == nil {
			names[dir] = maps.Clone(dir.durable)
		}
		return names[dir]
	}
	for _, op := range survivors(rng, m.pending) {
		if op.from != nil && of(op.from)[op.fromKey].node == op.node {
			delete(of(op.from), op.fromKey)
		}
		if op.to != nil {
			of(op.to)[op.toKey] = entry{op.toName, op.node}
		}
	}

	made := map[*node]*node{}
	var clone func(n *node) *node
	clone = func(n *node) *node {
		if made[n] != nil {
			return made[n] // two names of one file
		}
		d := c.newNode(n.mode)
		made[n] = d
		d.mtime, d.link, d.bad = n.mtime, n.link, n.bad
		if !n.isDir() {
			d.data = tear(rng, n)
			n.medium(d.data, 0)
			c.used += int64(len(d.data))
			d.sync()
			return d
		}
		held := of(n)
		for _, key := range slices.Sorted(maps.Keys(held)) {
			d.entries[key] = entry{held[key].name, clone(held[key].node)}
		}
		d.durable = maps.Clone(d.entries)
		return d
	}
	c.root = clone(m.root)
	return c
}

// survivors picks the changes that reached the disk: none, all, the first few,
// or any.
func survivors(rng *rand.Rand, ops []nameOp) []nameOp {
	switch rng.IntN(4) {
	case 0:
		return nil
	case 1:
		return ops
	case 2:
		return ops[:rng.IntN(len(ops)+1)]
	}
	var some []nameOp
	for _, op := range ops {
		if rng.IntN(2) == 0 {
			some = append(some, op)
		}
	}
	return some
}

// tear returns what the disk may hold of a file's content.
func tear(rng *rand.Rand, n *node) []byte {
	if n.clean {
		return slices.Clone(n.synced)
	}
	switch rng.IntN(6) {
	case 0:
		return slices.Clone(n.synced)
	case 1:
		return slices.Clone(n.data)
	case 2: // the size arrived, the content did not
		out := make([]byte, len(n.data))
		copy(out, n.synced)
		return out
	case 3: // only the beginning arrived
		return slices.Clone(n.data[:rng.IntN(len(n.data)+1)])
	}
	size := len(n.data)
	if rng.IntN(2) == 0 {
		size = rng.IntN(max(len(n.data), len(n.synced)) + 1)
	}
	out := make([]byte, size)
	for off := 0; off < size; off += sector {
		from := [][]byte{n.synced, n.data, nil}[rng.IntN(3)]
		if off < len(from) {
			copy(out[off:min(off+sector, size)], from[off:])
		}
	}
	return out
}
