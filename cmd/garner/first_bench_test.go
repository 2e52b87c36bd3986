//go:build linux || darwin

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"
	"time"

	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

var lastByte = regexp.MustCompile(`first picture: last byte (\d+)`)

// From the start of the program to the last byte of the first picture, by the line
// that GARNER_TRACE gives. GARNER_BENCH_JOB names a folder that is opened as if it
// had never been prepared; its own .garner is left alone. GARNER_BENCH_FRAMES is the
// number of frames of a large prepared job, which takes a minute or two to make.
func BenchmarkFirstPicture(b *testing.B) {
	demo := testjob.Demo(b, 120, true)
	large := ""
	if n, err := strconv.Atoi(os.Getenv("GARNER_BENCH_FRAMES")); err == nil {
		large = testjob.Many(b, n)
	}
	for name, a := range map[string]testterm.Answerer{"kitty": testterm.Kitty(), "blocks": testterm.XTerm()} {
		b.Run("prepared/"+name, func(b *testing.B) { firstPicture(b, a, func() []string { return []string{demo} }) })
		if large != "" {
			b.Run("large/"+name, func(b *testing.B) { firstPicture(b, a, func() []string { return []string{large} }) })
		}
		if job := os.Getenv("GARNER_BENCH_JOB"); job != "" {
			b.Run("unprepared/"+name, func(b *testing.B) {
				firstPicture(b, a, func() []string { return []string{job, "--state", filepath.Join(b.TempDir(), "state")} })
			})
		}
	}
}

func firstPicture(b *testing.B, a testterm.Answerer, args func() []string) {
	var took []time.Duration
	peak := 0.0
	for b.Loop() {
		trace := filepath.Join(b.TempDir(), "trace")
		cmd := append([]string{os.Args[0], "cull"}, args()...)
		begin := time.Now()
		r := testterm.Setup{Cols: 160, Rows: 50, Answerer: a, Env: []string{asProgram, "GARNER_TRACE=" + trace}}.Start(b, cmd...)
		r.WaitText(`keep\?.* 1 of \d+`)
		text, err := os.ReadFile(trace)
		m := lastByte.FindSubmatch(text)
		if m == nil {
			b.Fatalf("no line in the trace: %v %s", err, text)
		}
		at, _ := strconv.ParseInt(string(m[1]), 10, 64)
		took = append(took, time.UnixMicro(at).Sub(begin))
		peak = max(peak, resident(r.Pid()))
		r.Key("q")
		r.Exit()
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Milliseconds()), "median-ms")
	b.ReportMetric(float64(took[len(took)-1].Milliseconds()), "worst-ms")
	b.ReportMetric(peak, "peak-MB")
}

// peakLine is what proc(5) says of the most that was resident.
var peakLine = regexp.MustCompile(`VmHWM:\s*(\d+) kB`)

// resident returns the most that a process has had in memory, in MB; 0 where the
// system does not tell.
func resident(pid int) float64 {
	text, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "status"))
	if err != nil {
		return 0
	}
	m := peakLine.FindSubmatch(text)
	if m == nil {
		return 0
	}
	kb, _ := strconv.ParseFloat(string(m[1]), 64)
	return kb / 1000
}
