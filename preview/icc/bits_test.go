package icc

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/rand/v2"
	"testing"

	"garner/testdata/testneed"
)

// The way through tables gives these bits on every processor, also on one that rounds
// but once where a product is added: files that are cut on two machines are the same.
func TestBitsOfTables(t *testing.T) {
	h := sha256.New()
	profiles := made()
	for _, name := range []string{"lut8, RGB, XYZ", "lut16, RGB, Lab", "lut16, CMYK, Lab", "lutAToB, RGB, XYZ"} {
		channels := 3
		if string(profiles[name][16:20]) == "CMYK" {
			channels = 4
		}
		c := converter(t, profiles[name], channels, SpaceSRGB, Options{Intent: Relative, BlackPoint: true})
		random := rand.New(rand.NewPCG(1, 2))
		src := make([]uint16, 3000*channels)
		for i := range src {
			src[i] = uint16(random.Uint32())
		}
		light := make([]float32, 3*3000)
		c.Linear(light, src)
		for _, v := range light {
			h.Write(binary.BigEndian.AppendUint32(nil, math.Float32bits(v)))
		}
	}
	if got := hex.EncodeToString(h.Sum(nil)[:8]); got != "8829e04dd3b67ea0" {
		t.Errorf("%s", got)
	}
}

func TestBitsOfTablesOnArm(t *testing.T) {
	t.Parallel()
	testneed.Emulated(t, "GARNER_EMULATED=1", "^TestBitsOfTables$", "TestBitsOfTables")
}
