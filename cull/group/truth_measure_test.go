package group

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// score is how well a grouping agrees with the truth.
type score struct{ precision, recall, f1 float64 }

func scoreOf(precision, recall float64) score {
	s := score{precision: precision, recall: recall}
	if precision+recall > 0 {
		s.f1 = 2 * precision * recall / (precision + recall)
	}
	return s
}

// bCubed is the B-cubed measure of Bagga and Baldwin, Algorithms for scoring
// coreference chains (LREC workshop on linguistic coreference, 1998): for each
// frame the share of its group that truly belongs to it, and the share of what
// belongs to it that is in its group; the mean of either over all frames is
// precision and recall. Frames without a known group count for nothing.
func bCubed(found map[cull.ID]int, known map[cull.ID]string) score {
	if len(known) == 0 {
		return scoreOf(1, 1)
	}
	type cell struct {
		found int
		known string
	}
	both, size, meant := map[cell]int{}, map[int]int{}, map[string]int{}
	for id, k := range known {
		both[cell{found[id], k}]++
		size[found[id]]++
		meant[k]++
	}
	// Sums of fractions depend on their order in the last digit, and maps have none.
	var precision, recall []float64
	for c, n := range both {
		precision = append(precision, float64(n*n)/float64(size[c.found]))
		recall = append(recall, float64(n*n)/float64(meant[c.known]))
	}
	return scoreOf(sum(precision)/float64(len(known)), sum(recall)/float64(len(known)))
}

func sum(values []float64) (s float64) {
	slices.Sort(values)
	for _, v := range values {
		s += v
	}
	return s
}

// boundaries compares the frames that begin a scene, but for the first of all,
// with those that truly do. There is no tolerance: a boundary that is one frame
// off is one missed and one invented.
func boundaries(found, known []cull.ID) score {
	hits := 0
	for _, id := range found {
		if slices.Contains(known, id) {
			hits++
		}
	}
	precision, recall := 1., 1.
	if len(found) > 0 {
		precision = float64(hits) / float64(len(found))
	}
	if len(known) > 0 {
		recall = float64(hits) / float64(len(known))
	}
	return scoreOf(precision, recall)
}

// joined counts the groups that hold frames of two known bursts; a frame that
// is known to be alone is no burst.
func joined(found map[cull.ID]int, known map[cull.ID]string) (groups int) {
	size := map[string]int{}
	for _, k := range known {
		size[k]++
	}
	bursts := map[int]map[string]bool{}
	for id, k := range known {
		if size[k] < 2 {
			continue
		}
		if bursts[found[id]] == nil {
			bursts[found[id]] = map[string]bool{}
		}
		bursts[found[id]][k] = true
	}
	for _, in := range bursts {
		if len(in) > 1 {
			groups++
		}
	}
	return groups
}

// worst describes the group that is furthest from the truth: the one that joins
// most, or the burst in most pieces.
func worst(found map[cull.ID]int, known map[cull.ID]string) string {
	inGroup, inBurst := map[int]map[string]int{}, map[string]map[int]int{}
	for id, k := range known {
		g := found[id]
		if inGroup[g] == nil {
			inGroup[g] = map[string]int{}
		}
		if inBurst[k] == nil {
			inBurst[k] = map[int]int{}
		}
		inGroup[g][k]++
		inBurst[k][g]++
	}
	type fault struct {
		pairs int // of frames that are wrongly together or apart
		text  string
	}
	var faults []fault
	for _, in := range inGroup {
		if len(in) > 1 {
			faults = append(faults, fault{pairsAcross(in), "joins " + spell(in)})
		}
	}
	for k, in := range inBurst {
		if len(in) > 1 {
			pieces := map[string]int{}
			for g, n := range in {
				pieces[fmt.Sprint(g)] = n
			}
			counts := make([]string, 0, len(in))
			for _, g := range slices.Sorted(keys(in)) {
				counts = append(counts, fmt.Sprint(in[g]))
			}
			faults = append(faults, fault{pairsAcross(pieces), "cuts " + k + " into " + strings.Join(counts, "+")})
		}
	}
	if len(faults) == 0 {
		return "none"
	}
	return slices.MaxFunc(faults, func(a, b fault) int {
		return cmp.Or(cmp.Compare(a.pairs, b.pairs), strings.Compare(b.text, a.text))
	}).text
}

func pairsAcross(parts map[string]int) int {
	all, within := 0, 0
	for _, n := range parts {
		all += n
		within += n * (n - 1) / 2
	}
	return all*(all-1)/2 - within
}

func spell(in map[string]int) string {
	var parts []string
	for _, k := range slices.Sorted(keys(in)) {
		parts = append(parts, fmt.Sprintf("%d of %s", in[k], k))
	}
	if len(parts) > 4 {
		parts = append(parts[:4], fmt.Sprintf("%d more", len(parts)-4))
	}
	return strings.Join(parts, ", ")
}

func keys[K comparable, V any](m map[K]V) func(func(K) bool) {
	return func(yield func(K) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// chains reads groups such as "12 345" as a truth or an answer about items of
// one letter each.
func chains(text string) (found map[cull.ID]int, known map[cull.ID]string) {
	found, known = map[cull.ID]int{}, map[cull.ID]string{}
	for i, group := range strings.Fields(text) {
		for _, item := range strings.Split(group, "") {
			found[cull.ID(item)], known[cull.ID(item)] = i, group
		}
	}
	return found, known
}

// TestMeasures holds the measures against values worked by hand. The first two
// are the example of Bagga and Baldwin's paper: of twelve items in chains of 5,
// 2 and 5, one answer joins the 2 with a 5 (precision (5·1 + 2·2/7 + 5·5/7)/12 =
// 64/84), the other the two 5 (precision (10·5/10 + 2)/12 = 7/12).
func TestMeasures(t *testing.T) {
	_, truth := chains("12345 67 89ABC")
	for _, tc := range []struct {
		answer            string
		precision, recall float64
		joined            int
		worst             string
	}{
		{"12345 6789ABC", 64. / 84, 1, 1, "joins 2 of 67, 5 of 89ABC"},
		{"1234589ABC 67", 7. / 12, 1, 1, "joins 5 of 12345, 5 of 89ABC"},
		{"12345 67 89ABC", 1, 1, 0, "none"},
		{"1 2 3 4 5 6 7 8 9 A B C", 1, (5*.2 + 2*.5 + 5*.2) / 12, 0, "cuts 12345 into 1+1+1+1+1"},
		{"123456789ABC", (5*5. + 2*2 + 5*5) / 144, 1, 1, "joins 5 of 12345, 2 of 67, 5 of 89ABC"},
		// 1 2 3 | 4 5 6 | …: 3·1 + 2·2/3 + 1/3 + 1 + 5 of 12; 3·3/5 + 2·2/5 + 1/2 + 1/2 + 5 of 12.
		{"123 456 7 89ABC", (3 + 4./3 + 1./3 + 1 + 5) / 12, (9./5 + 4./5 + .5 + .5 + 5) / 12, 1, "cuts 12345 into 3+2"},
	} {
		found, _ := chains(tc.answer)
		got := bCubed(found, truth)
		if math.Abs(got.precision-tc.precision) > 1e-12 || math.Abs(got.recall-tc.recall) > 1e-12 {
			t.Errorf("%s: precision %.4f, recall %.4f, want %.4f, %.4f", tc.answer, got.precision, got.recall, tc.precision, tc.recall)
		}
		if n := joined(found, truth); n != tc.joined {
			t.Errorf("%s: %d groups join bursts, want %d", tc.answer, n, tc.joined)
		}
		if w := worst(found, truth); w != tc.worst {
			t.Errorf("%s: the worst %q, want %q", tc.answer, w, tc.worst)
		}
	}
	// Frames alone are no bursts: a group that holds two of them joins none.
	_, alone := chains("1 2 34")
	if found, _ := chains("123 4"); joined(found, alone) != 0 {
		t.Error("frames alone count as bursts")
	}
	if s := boundaries([]cull.ID{"a", "b", "c", "d"}, []cull.ID{"b", "d", "e"}); s.precision != .5 || math.Abs(s.recall-2./3) > 1e-12 || math.Abs(s.f1-4./7) > 1e-12 {
		t.Errorf("boundaries: %+v, want 1/2, 2/3, 4/7", s)
	}
	if s := boundaries(nil, []cull.ID{"b"}); s.f1 != 0 {
		t.Errorf("no boundary found of one: %+v", s)
	}
}
