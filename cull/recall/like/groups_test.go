package like

import (
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/pix"
)

// What groups of probes find is what each finds by itself.
func TestGroupsCompareAsProbesDo(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	var few []probe
	for i := range 45 {
		p := probe{most: r.IntN(50), bits: 64, base: float32(i % 3), slope: 0.1}
		for k := range p.low {
			p.mask[k] = r.Uint64() | r.Uint64()
			p.low[k] = r.Uint64() & p.mask[k]
		}
		if p.word = r.IntN(lowWords); i%9 == 0 {
			p.mask[p.word], p.most = 1<<64-1, 64
		}
		few = append(few, p)
	}
	var low [lowWords][]uint64
	const rows = 2000
	for k := range low {
		for range rows {
			low[k] = append(low[k], r.Uint64())
		}
	}
	low[0][7], low[0][8] = 0, 1<<64-1
	want := make([]float32, rows)
	for i := range want {
		want[i] = pix.Unrelated
		for _, p := range few {
			if bits.OnesCount64((low[p.word][i]^p.low[p.word])&p.mask[p.word]) <= p.most {
				want[i] = min(want[i], p.unlike(&fields{low[0][i], low[1][i], low[2][i], low[3][i]}))
			}
		}
	}
	sorted := slices.Sorted(slices.Values(want))
	for _, within := range []float32{pix.Unrelated, sorted[rows/2], sorted[rows/20], sorted[0], -1} {
		near := slices.Repeat([]float32{pix.Unrelated}, rows)
		for _, g := range groupsOf(few) {
			g.probe(&low, near, within)
		}
		for i := range rows {
			if want[i] <= within && near[i] != want[i] || near[i] < want[i] {
				t.Fatalf("row %d within %v: %v, want %v", i, within, near[i], want[i])
			}
		}
	}
	if sorted[0] == sorted[rows/20] || sorted[rows/20] == sorted[rows/2] || sorted[rows/2] == pix.Unrelated {
		t.Error("these rows say nothing")
	}
}
