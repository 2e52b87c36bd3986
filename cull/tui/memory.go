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
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		trace("memory after %d s: live heap %d, resident %d, goroutines %d", int(time.Since(began).Seconds()+0.5), m.HeapAlloc, resident(), runtime.NumGoroutine())
	}
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
