package job

import (
	"maps"
	"math/rand/v2"
	"testing"

	"garner/cull"
)

func randomLook(r *rand.Rand) cull.Look {
	l := cull.Look{Method: uint8(1 + r.IntN(255)), Red: uint8(r.Uint32()), Green: uint8(r.Uint32()), Blue: uint8(r.Uint32()), Grey: r.IntN(2) == 0}
	for i := range l.Parts {
		l.Parts[i] = r.Uint64()
	}
	for i := range l.Columns {
		l.Columns[i], l.Rows[i] = uint8(r.Uint32()), uint8(r.Uint32())
	}
	for i := range l.Detail {
		l.Detail[i] = uint8(r.Uint32())
	}
	return l
}

func TestLooksComeBack(t *testing.T) {
	j, err := Open(t.TempDir(), Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	want := map[cull.ID]cull.Look{"0000000000000001": randomLook(r), "0000000000000002": randomLook(r)}
	if err := j.SavePictures([]cull.Frame{{ID: "0000000000000001", Name: "A/1"}}, want); err != nil {
		t.Fatal(err)
	}
	check := func(what string) {
		t.Helper()
		if got, err := j.Looks(); err != nil || !maps.Equal(got, want) {
			t.Errorf("%s: %v, %v, want %v", what, got, err, want)
		}
	}
	check("saved")
	if frames, err := j.Frames(); err != nil || len(frames) != 1 {
		t.Errorf("frames saved beside them: %v, %v", frames, err)
	}
	if err := j.SaveLooks(map[cull.ID]cull.Look{"0000000000000002": {}}); err != nil {
		t.Fatal(err)
	}
	delete(want, "0000000000000002")
	check("one forgotten")
	if err := j.PutEvidence(lookEvidence, map[cull.ID][]byte{"0000000000000003": {1, 1, 0}, "0000000000000004": nil}); err != nil {
		t.Fatal(err)
	}
	check("two damaged")
	// A frame known under another name takes its look along.
	if err := j.SaveFrames([]cull.Frame{{ID: "0000000000000005", Name: "A/1", Aliases: []cull.ID{"0000000000000001"}}}); err != nil {
		t.Fatal(err)
	}
	want["0000000000000005"] = want["0000000000000001"]
	delete(want, "0000000000000001")
	check("renamed")
}
