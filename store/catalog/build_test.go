package catalog

import (
	"encoding/binary"
	"hash/fnv"
)

// builder makes bbolt files page by page, so that a test can say what is wrong
// with one. The layout of pages is that of bbolt's file format, version 2.
type builder struct {
	pages map[int][]byte
	n     int
	root  uint64
	free  uint64
}

const buildSize = 1024 // the smallest page there is

func newBuilder(pages int) *builder {
	return &builder{pages: map[int][]byte{}, n: pages, root: 3, free: 2}
}

// header begins a page.
func (b *builder) header(id int, flags uint16, count int, overflow int) []byte {
	p := make([]byte, buildSize*(overflow+1))
	le := binary.LittleEndian
	le.PutUint64(p, uint64(id))
	le.PutUint16(p[8:], flags)
	le.PutUint16(p[10:], uint16(count))
	le.PutUint32(p[12:], uint32(overflow))
	b.pages[id] = p
	return p
}

type element struct {
	key, value string
	bucket     bool
}

// leafBytes lays elements out in a page or in an inline bucket.
func leafBytes(p []byte, list []element) {
	le := binary.LittleEndian
	at := headerSize + len(list)*elementSize
	for i, e := range list {
		head := headerSize + i*elementSize
		if e.bucket {
			le.PutUint32(p[head:], 1)
		}
		le.PutUint32(p[head+4:], uint32(at-head))
		le.PutUint32(p[head+8:], uint32(len(e.key)))
		le.PutUint32(p[head+12:], uint32(len(e.value)))
		at += copy(p[at:], e.key)
		at += copy(p[at:], e.value)
	}
}

func (b *builder) leaf(id int, list ...element) []byte {
	p := b.header(id, flagLeaf, len(list), 0)
	leafBytes(p, list)
	return p
}

func (b *builder) branch(id int, children map[string]int, keys ...string) []byte {
	p := b.header(id, flagBranch, len(keys), 0)
	le := binary.LittleEndian
	at := headerSize + len(keys)*elementSize
	for i, key := range keys {
		head := headerSize + i*elementSize
		le.PutUint32(p[head:], uint32(at-head))
		le.PutUint32(p[head+4:], uint32(len(key)))
		le.PutUint64(p[head+8:], uint64(children[key]))
		at += copy(p[at:], key)
	}
	return p
}

func (b *builder) freelist(id int, ids ...uint64) []byte {
	p := b.header(id, flagFreelist, len(ids), 0)
	for i, free := range ids {
		binary.LittleEndian.PutUint64(p[headerSize+8*i:], free)
	}
	return p
}

// bucket is the value of a bucket with a page of its own.
func bucket(root int) string {
	return string(binary.LittleEndian.AppendUint64(nil, uint64(root))) + "\x00\x00\x00\x00\x00\x00\x00\x00"
}

// inline is the value of a bucket that is stored in its parent.
func inline(list ...element) string {
	size := headerSize
	for _, e := range list {
		size += elementSize + len(e.key) + len(e.value)
	}
	p := make([]byte, size)
	binary.LittleEndian.PutUint16(p[8:], flagLeaf)
	binary.LittleEndian.PutUint16(p[10:], uint16(len(list)))
	leafBytes(p, list)
	return bucket(0) + string(p)
}

// record is an element with a good seal.
func record(bucket, key, payload string) element {
	return element{key: key, value: string(seal(bucket, []byte(key), 1, []byte(payload)))}
}

// bytes puts the file together, with both meta pages.
func (b *builder) bytes() []byte {
	out := make([]byte, b.n*buildSize)
	for id, p := range b.pages {
		copy(out[id*buildSize:], p)
	}
	for i := range 2 {
		b.meta(out[i*buildSize:], uint64(i), buildSize, uint64(i))
	}
	return out
}

func (b *builder) meta(p []byte, id uint64, pageSize uint32, txid uint64) {
	le := binary.LittleEndian
	le.PutUint64(p, id)
	le.PutUint16(p[8:], flagMeta)
	m := p[headerSize:]
	le.PutUint32(m, boltMagic)
	le.PutUint32(m[4:], boltVersion)
	le.PutUint32(m[8:], pageSize)
	le.PutUint64(m[16:], b.root)
	le.PutUint64(m[32:], b.free)
	le.PutUint64(m[40:], uint64(b.n))
	le.PutUint64(m[48:], txid)
	sum := fnv.New64a()
	sum.Write(m[:56])
	le.PutUint64(m[56:], sum.Sum64())
}
