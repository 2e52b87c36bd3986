package lanes

import (
	"os"
	"runtime"
	"testing"

	"golang.org/x/sys/cpu"
)

// The vector code is what runs wherever the processor has it, and it is what the
// functions of this package reach.
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
	if forced := os.Getenv("GARNER_LANES_PATH"); forced != "" && forced != want {
		t.Fatalf("Path is %q, GARNER_LANES_PATH wants %q", want, forced)
	}
	v, b := make([]float32, 256), make([]byte, 128)
	j := transposeJob{dst: v[:64], src: v[64:128], dstRow: 8, dstStep: 64, srcRow: 8, srcStep: 64, blocks: 1}
	for what, ran := range map[string]bool{
		"transpose": fastTranspose(&j),
		"across":    fastAcross(v[:pixel], v[pixel:], []int32{0}, v[:2], 2, 0),
		"down":      fastDown(v[:8], v[8:], []int{0}, v[:1]) == 8,
	} {
		if ran != (want != "go") {
			t.Errorf("%s: vector code ran: %v, path %s", what, ran, want)
		}
	}
	for what, ran := range map[string]bool{
		"curve":    fastCurve(v[:8], v[8:16], &Curve{}) == 8,
		"quantise": fastQuantise(b, v[:8]) == 8,
		"widen":    fastWiden(b, b[64:81]) == 16,
		"between":  fastWidenBetween(b, b[64:81], b[96:]) == 16,
		"RGB":      fastRGB(b, b[64:80], b[64:], b[64:]) == 16,
	} {
		if ran != (want == "avx2") {
			t.Errorf("%s: vector code ran: %v, path %s", what, ran, want)
		}
	}
}
