package term

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"golang.org/x/sys/cpu"
)

// The vector code gives the bits of the plain code, for every luma with every
// chroma that is not in the same step of four, and writes nothing else.
func TestVectorColours(t *testing.T) {
	if !cpu.X86.HasAVX2 {
		t.Skip("needs a processor with AVX2")
	}
	rnd := rand.New(rand.NewPCG(7, 8))
	for _, look := range []Look{{}, {Dim: true}} {
		tab := newTables(look)
		for cb := 0; cb < 256; cb += 1 + rnd.IntN(4) {
			for cr := 0; cr < 256; cr += 1 + rnd.IntN(4) {
				var luma [256 + 13]byte
				for i := range luma {
					luma[i] = byte(i)
				}
				u, v := bytes.Repeat([]byte{byte(cb)}, 135), bytes.Repeat([]byte{byte(cr)}, 135)
				got, want := make([]byte, 4*len(luma)), make([]byte, 4*len(luma))
				if n := tab.pairs(got, luma[:], u, v); n != 256 {
					t.Fatalf("%d pixels", n)
				}
				tab.pairsGo(want[:4*256], luma[:256], u, v)
				if !bytes.Equal(got, want) {
					t.Fatalf("%+v cb %d cr %d differ", look, cb, cr)
				}
			}
		}
		for range 200 { // pixels side by side
			luma, u, v := make([]byte, 96), make([]byte, 48), make([]byte, 48)
			for _, plane := range [][]byte{luma, u, v} {
				for i := range plane {
					plane[i] = byte(rnd.Uint32())
				}
			}
			got, want := make([]byte, 4*96), make([]byte, 4*96)
			tab.pairs(got, luma, u, v)
			tab.pairsGo(want, luma, u, v)
			if !bytes.Equal(got, want) {
				t.Fatalf("%+v: pixels are mixed up", look)
			}
		}
	}
}
