package vfstest

import (
	"errors"
	"path/filepath"
	"strings"
	"time"
)

// Op is a kind of operation.
type Op string

// The operations that are counted and can be made to fail.
const (
	OpOpen        Op = "open"
	OpCreate      Op = "create" // an open that makes the file
	OpRead        Op = "read"
	OpWrite       Op = "write"
	OpSync        Op = "sync"
	OpTruncate    Op = "truncate"
	OpPreallocate Op = "preallocate"
	OpDropCache   Op = "drop cache"
	OpClose       Op = "close"
	OpRename      Op = "rename"
	OpClone       Op = "clone"
	OpRemove      Op = "remove"
	OpMkdir       Op = "mkdir"
	OpReadDir     Op = "readdir"
	OpStat        Op = "stat"
	OpSyncDir     Op = "syncdir"
	OpChtimes     Op = "chtimes"
	OpChmod       Op = "chmod"
)

// ErrPowerLost is what every operation returns once the power is gone.
var ErrPowerLost = errors.New("power lost")

// Fault is something that goes wrong.
type Fault struct {
	Op   Op     // which operations; empty is any
	Path string // part of the path as it was asked for, with slashes; empty is any
	N    int    // the how manieth matching operation, from 1; 0 is the first
	Stay bool   // all later ones too

	Err   error             // what the operation returns; nil: it goes on after Do
	Short int               // bytes that a failing write or read still gets done
	Do    func(path string) // called before the operation, with no lock held

	seen int
}

// Event is an operation that was asked for.
type Event struct {
	Op   Op
	Path string
	Size int // bytes read or written
}

// Inject adds a fault. Of several matching ones the first added decides.
func (m *Mem) Inject(f Fault) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.faults = append(m.faults, &f)
}

// Heal takes all faults away.
func (m *Mem) Heal() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.faults = nil
}

// PowerOffAfter lets n more operations pass; all later ones return
// [ErrPowerLost] and do nothing. A write that finds the power gone may have got
// part of its bytes through: CrashClone tears what was not synced anyway.
func (m *Mem) PowerOffAfter(n int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.powerAt = m.total + n + 1
}

// Log returns the operations so far, oldest first.
func (m *Mem) Log() []Event {
	m.mu.Lock()
	defer m.mu.Unlock()
	return append([]Event(nil), m.log...)
}

// Count returns how many operations of a kind there were; empty counts all.
func (m *Mem) Count(op Op) int {
	m.mu.Lock()
	defer m.mu.Unlock()
	if op == "" {
		return m.total
	}
	return m.counts[op]
}

// Elapsed returns the time that the operations would have taken by Options.Latency.
func (m *Mem) Elapsed() time.Duration {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.elapsed
}

// logLimit keeps a long benchmark from collecting events without end.
const logLimit = 1 << 16

// step counts an operation and returns the fault that hits it, if any. The lock
// is held on entry and on return, but not while Fault.Do runs.
func (m *Mem) step(op Op, name string, size int) *Fault {
	m.total++
	m.counts[op]++
	m.now = m.now.Add(time.Millisecond)
	m.elapsed += m.opt.Latency[op]
	if len(m.log) < logLimit {
		m.log = append(m.log, Event{op, name, size})
	}
	if m.powerAt > 0 && m.total >= m.powerAt {
		return &Fault{Err: ErrPowerLost}
	}
	slashed := filepath.ToSlash(name)
	for _, f := range m.faults {
		if f.Op != "" && f.Op != op || !strings.Contains(slashed, f.Path) {
			continue
		}
		f.seen++
		if n := max(f.N, 1); f.seen != n && !(f.Stay && f.seen > n) {
			continue
		}
		if f.Do != nil {
			m.mu.Unlock()
			f.Do(name)
			m.mu.Lock()
		}
		if f.Err != nil {
			return f
		}
	}
	return nil
}
