package nn

import (
	"os"
	"runtime"
	"testing"

	"golang.org/x/sys/cpu"
)

// The vector code is what runs wherever the processor has it, and it is what layers
// reach: they ask the same functions as this test.
func TestPath(t *testing.T) {
	want := "go"
	switch {
	case !vectorBuild:
	case cpu.X86.HasAVX2 && cpu.X86.HasFMA:
		want = "avx2"
	case runtime.GOARCH == "arm64":
		want = "neon"
	}
	if got := Path(); got != want {
		t.Fatalf("Path is %q, want %q", got, want)
	}
	if forced := os.Getenv("GARNER_NN_PATH"); forced != "" && forced != want {
		t.Fatalf("Path is %q, GARNER_NN_PATH wants %q", want, forced)
	}
	v := make([]float32, 256)
	p := panelJob{in: v, at: []int{0}, rows: 1, run: 1, panel: v, dst: v[100:101], stride: 1, cols: 1}
	j := placesJob{src: v[:8], dst: v[100:108], n: 1, rows: 1, cols: 1, in: 8, out: 8, weights: v, bias: v, slope: v}
	for what, ran := range map[string]bool{"a panel": fastPanel(&p), "depthwise": fastDepthwise(&j), "largest": fastMax(&j)} {
		if ran != (want != "go") {
			t.Errorf("%s: vector code ran: %v, path %s", what, ran, want)
		}
	}
}
