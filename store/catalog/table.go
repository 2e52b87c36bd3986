package catalog

import (
	"encoding/binary"

	bolt "go.etcd.io/bbolt"
)

// Table is the records of one kind in one transaction. The zero bucket (a
// nested one that was never written) reads as empty.
type Table[R any] struct {
	tx     *Tx
	path   []string // bucket, and the nested bucket if it has one
	bucket *bolt.Bucket
	kind   kind[R]
}

// kind is how records of a type are written: version is the one written now,
// and decode reads every version up to it.
type kind[R any] struct {
	version byte
	encode  func([]byte, R) []byte
	decode  func(*cursor) R
}

// place is the table's name as the records' checksums know it.
func place(path []string) string {
	if len(path) == 1 {
		return path[0]
	}
	return path[0] + "/" + path[1]
}

// Get returns the record of a key, and whether there is one.
func (t Table[R]) Get(key string) (R, bool, error) {
	var none R
	if t.bucket == nil {
		return none, false, nil
	}
	value := t.bucket.Get([]byte(key))
	if value == nil {
		return none, false, nil
	}
	r, err := t.kind.open(place(t.path), []byte(key), value)
	return r, err == nil, err
}

// Put writes the record of a key.
func (t Table[R]) Put(key string, r R) error {
	if t.bucket == nil {
		var err error
		if t.bucket, err = t.tx.makeBucket(t.path); err != nil {
			return err
		}
	}
	value := seal(place(t.path), []byte(key), t.kind.version, t.kind.encode(nil, r))
	return t.bucket.Put([]byte(key), value)
}

// Delete removes the record of a key; a missing one is no error.
func (t Table[R]) Delete(key string) error {
	if t.bucket == nil {
		return nil
	}
	return t.bucket.Delete([]byte(key))
}

// Each calls fn for every record in the order of the keys' bytes. fn may not
// change the table.
func (t Table[R]) Each(fn func(key string, r R) error) error {
	if t.bucket == nil {
		return nil
	}
	name, w := place(t.path), words{}
	return t.bucket.ForEach(func(k, v []byte) error {
		if v == nil { // a nested bucket
			return nil
		}
		r, err := t.kind.openWith(name, k, v, w)
		if err != nil {
			return err
		}
		return fn(string(k), r)
	})
}

// Len counts the records without reading them.
func (t Table[R]) Len() int {
	n := 0
	if t.bucket == nil {
		return n
	}
	c := t.bucket.Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		n++
	}
	return n
}

// Keys returns the keys in the order of their bytes, without reading the
// records.
func (t Table[R]) Keys() []string {
	if t.bucket == nil {
		return nil
	}
	var keys []string
	c := t.bucket.Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		keys = append(keys, string(k))
	}
	return keys
}

// Last returns the greatest key; "" when the table is empty.
func (t Table[R]) Last() string {
	if t.bucket == nil {
		return ""
	}
	k, _ := t.bucket.Cursor().Last()
	return string(k)
}

// open decodes a value; every error is ErrDamaged and says where.
func (k kind[R]) open(name string, key, value []byte) (R, error) {
	return k.openWith(name, key, value, nil)
}

// openWith is open in a row of many.
func (k kind[R]) openWith(name string, key, value []byte, w words) (R, error) {
	var none R
	version, payload, err := unseal(name, key, value)
	if err == nil && (version == 0 || version > k.version) {
		err = errVersion
	}
	if err != nil {
		return none, damage("record "+name+"/"+showKey(key), "%v", err)
	}
	c := &cursor{b: payload, version: version, words: w}
	r := k.decode(c)
	if err := c.end(); err != nil {
		return none, damage("record "+name+"/"+showKey(key), "%v", err)
	}
	return r, nil
}

// SeqKey is the key of a journal entry: eight bytes, so that the order of keys
// is the order of entries.
func SeqKey(seq uint64) string {
	return string(binary.BigEndian.AppendUint64(nil, seq))
}

// KeySeq is the number of a key made by SeqKey; 0 for any other key.
func KeySeq(key string) uint64 {
	if len(key) != 8 {
		return 0
	}
	return binary.BigEndian.Uint64([]byte(key))
}
