package dct

import (
	"os"
	"testing"

	"golang.org/x/sys/cpu"
)

// The vector code is what runs wherever the processor has it, and it is what
// the exported functions reach: they ask the same functions as this test,
// which answer yes only after the vector code has written the samples.
func TestPath(t *testing.T) {
	want := "go"
	switch {
	case !vectorBuild:
	case cpu.X86.HasAVX2:
		want = "avx2"
	case cpu.ARM64.HasASIMD:
		want = "neon"
	}
	if got := Path(); got != want {
		t.Fatalf("Path is %q, want %q", got, want)
	}
	if forced := os.Getenv("GARNER_DCT_PATH"); forced != "" && forced != want {
		t.Fatalf("Path is %q, GARNER_DCT_PATH wants %q", want, forced)
	}
	for _, tr := range transforms {
		coef := Block{80, 7, 6, 5, 4, 3, 2, 1, -9, 40: 5, 63: 3}
		var fast, slow [64]byte
		if ran := tr.fast(fast[:], 8, &coef, 1, &ones); ran != (want != "go") {
			t.Errorf("%s: vector code ran: %v, path %s", tr.name, ran, want)
		} else if tr.slow(slow[:], 8, &coef, &ones); ran && fast != slow {
			t.Errorf("%s: %v, plain Go %v", tr.name, fast, slow)
		}
	}
	var z Quantiser
	z.Set(&ones)
	src := []byte("the forward transform of these letters, which are just sixty-four")
	var fast, slow Block
	var nonzero uint64
	if ran := fastForward(&fast, &nonzero, src, 8, 1, &z); ran != (want != "go") {
		t.Errorf("forward: vector code ran: %v, path %s", ran, want)
	} else if bits := forwardGo(&slow, src, 8, &z); ran && (fast != slow || bits != nonzero) {
		t.Errorf("forward: %v, plain Go %v", fast, slow)
	}
}
