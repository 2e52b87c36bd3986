package testcolour

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

// The 34 pairs of Sharma, Wu and Dalal 2005, table 1, to their four digits.
func TestSharma(t *testing.T) {
	f, err := os.Open("testdata/ciede2000.tsv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	pairs := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		var p, q [3]float64
		var want float64
		if _, err := fmt.Sscan(s.Text(), &p[0], &p[1], &p[2], &q[0], &q[1], &q[2], &want); err != nil {
			t.Fatalf("%q: %v", s.Text(), err)
		}
		pairs++
		for _, got := range []float64{CIEDE2000(p, q), CIEDE2000(q, p)} {
			if math.Abs(got-want) > 1e-4 {
				t.Errorf("pair %d: %.4f, want %.4f", pairs, got, want)
			}
		}
	}
	if pairs != 34 {
		t.Errorf("%d pairs", pairs)
	}
}

// Values of B. Lindbloom's calculator for sRGB.
func TestLabOfSRGB(t *testing.T) {
	for _, c := range []struct{ code, want [3]float64 }{
		{[3]float64{1, 0, 0}, [3]float64{53.2408, 80.0925, 67.2032}},
		{[3]float64{0, 1, 0}, [3]float64{87.7347, -86.1827, 83.1793}},
		{[3]float64{0, 0, 1}, [3]float64{32.2970, 79.1875, -107.8602}},
		{[3]float64{128. / 255, 128. / 255, 128. / 255}, [3]float64{53.5850, 0, 0}},
	} {
		got := LabOfSRGB(c.code)
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 2e-4 {
				t.Errorf("%v is %.4f, want %.4f", c.code, got, c.want)
				break
			}
		}
	}
}
