package cache

import "container/list"

// memory holds the entries used last, bounded in bytes.
type memory struct {
	limit, used int64
	order       *list.List // of *held, the one used last in front
	byKey       map[string]*list.Element
}

type held struct {
	key  string
	data []byte
}

func newMemory(limit int64) *memory {
	return &memory{limit: limit, order: list.New(), byKey: map[string]*list.Element{}}
}

// overhead is what an entry costs besides its bytes, roughly.
const overhead = 200

func (h *held) cost() int64 { return int64(len(h.key)+len(h.data)) + overhead }

func (m *memory) get(key string) ([]byte, bool) {
	e, ok := m.byKey[key]
	if !ok {
		return nil, false
	}
	m.order.MoveToFront(e)
	return e.Value.(*held).data, true
}

func (m *memory) put(key string, data []byte) {
	m.drop(key)
	h := &held{key, data}
	if h.cost() > m.limit {
		return
	}
	m.byKey[key] = m.order.PushFront(h)
	m.used += h.cost()
	for m.used > m.limit {
		m.drop(m.order.Back().Value.(*held).key)
	}
}

func (m *memory) drop(key string) {
	if e, ok := m.byKey[key]; ok {
		m.used -= e.Value.(*held).cost()
		m.order.Remove(e)
		delete(m.byKey, key)
	}
}
