package tui

import (
	"context"
	"os"
	"runtime"
	"strconv"
	"strings"
	"time"
)

// memoryEvery is how often memory is looked at where somebody measures.
const memoryEvery = 5 * time.Second

// watchMemory writes what the program holds into the trace: the live heap after a
// collection and the resident memory, in bytes.
func watchMemory(ctx context.Context, trace func(format string, args ...any)) {
	began := time.Now()
	tick := time.NewTicker(memoryEvery)
	defer tick.Stop()
	for {
		var now time.Time
		select {
		case <-ctx.Done():
			return
		case now = <-tick.C:
		}
		trace("memory after %d s: live heap %d, resident %d, goroutines %d", int(now.Sub(began).Round(time.Second).Seconds()), liveHeap(), resident(), runtime.NumGoroutine())
	}
}

// liveHeap is what is left of the heap after a collection: the least of a few, since
// what is being decoded at a moment comes and goes.
func liveHeap() uint64 {
	var least uint64
	for range 5 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		if least == 0 || m.HeapAlloc < least {
			least = m.HeapAlloc
		}
	}
	return least
}

// resident is the program's resident memory in bytes, 0 where the system does not
// tell in proc(5).
func resident() int64 {
	b, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return 0
	}
	f := strings.Fields(string(b))
	if len(f) < 2 {
		return 0
	}
	pages, _ := strconv.ParseInt(f[1], 10, 64)
	return pages * int64(os.Getpagesize())
}
