package free

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"garner/cull"
	"garner/cull/intake/plan"
	"garner/preview/raw"
)

// anyKnown is a job and its bags, of which nothing can be relied on.
func anyKnown(t *rapid.T) known {
	k := known{frames: map[cull.ID]cull.Frame{}, answers: map[cull.ID]cull.Decision{}, shown: map[cull.ID]bool{}}
	var paths []string
	for i := range rapid.IntRange(1, 6).Draw(t, "frames") {
		f := cull.Frame{ID: cull.ID(fmt.Sprint("f", i))}
		for range rapid.IntRange(0, 4).Draw(t, "files") {
			p := rapid.SampledFrom([]string{"A/1.CR3", "A/1.cr3", "A/2.CR3", "A/3.NEF", "B/4.JPG", "A/1.xmp", "A/5.WAV", "clips/6.MOV", "small/A/1.CR3.jpg"}).Draw(t, "path")
			f.Files = append(f.Files, cull.File{Path: p, Size: int64(rapid.IntRange(1, 2).Draw(t, "size")),
				Role: rapid.SampledFrom([]cull.FileRole{cull.RoleMain, cull.RoleMain, cull.RoleTwin, cull.RoleVersion, cull.RoleJPEG, cull.RoleHEIF, cull.RoleVoice, cull.RoleSidecar, cull.RoleSmall, cull.RoleOther}).Draw(t, "role"),
				Kind: rapid.SampledFrom([]string{"CR3", "NEF", "JPEG", "HEIF", "TIFF", ""}).Draw(t, "kind")})
			paths = append(paths, p)
		}
		k.frames[f.ID] = f
		if rapid.IntRange(0, 3).Draw(t, "answered") > 0 {
			k.answers[f.ID] = cull.Decision{Answer: rapid.SampledFrom([]cull.Answer{cull.Open, cull.Yes, cull.No, cull.No, cull.Part}).Draw(t, "answer"), Shown: rapid.Bool().Draw(t, "seen")}
		}
		k.shown[f.ID] = rapid.IntRange(0, 4).Draw(t, "finished") == 0
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "bags") {
		b := testimony{dir: fmt.Sprint("bag", i), smalls: map[string]kept{}, whole: map[string]kept{}, dropped: map[string]bool{}}
		for _, p := range paths {
			has := kept{"data/" + p, [32]byte{byte(rapid.IntRange(1, 2).Draw(t, "sum"))}, int64(rapid.IntRange(1, 2).Draw(t, "bytes"))}
			if rapid.Bool().Draw(t, "small") {
				b.smalls[p] = has
			}
			if rapid.Bool().Draw(t, "whole") {
				b.whole[p] = has
			}
			b.dropped[p] = rapid.Bool().Draw(t, "dropped")
		}
		k.bags = append(k.bags, b)
	}
	return k
}

// Whatever catalogue and bags say, a plan lets go only what the rules let go, and says of
// every other raw of a dropped frame why it stays.
func TestPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := anyKnown(t)
		o := Options{Unshown: rapid.Bool().Draw(t, "unshown"), Retire: rapid.Bool().Draw(t, "retire")}
		p := draw(k, o)
		named := map[string]int{}
		for _, f := range k.frames {
			for _, x := range f.Files {
				named[plan.Fold(x.Path)]++
			}
		}
		for _, f := range p.Go {
			frame, d := k.frames[f.Frame], k.answers[f.Frame]
			i := slices.IndexFunc(frame.Files, func(x cull.File) bool { return x.Path == f.Path })
			if i < 0 || named[plan.Fold(f.Path)] != 1 {
				t.Fatalf("%+v is not the file of one frame", f)
			}
			x := frame.Files[i]
			if !raw.Kind(x.Kind).Raw() || x.Role != cull.RoleMain && x.Role != cull.RoleTwin && x.Role != cull.RoleVersion || x.Size != f.Bytes {
				t.Fatalf("%+v is no raw original", x)
			}
			drops := d.Answer == cull.No && (d.Shown || o.Unshown) && !k.shown[f.Frame] && !f.Kept
			retires := d.Answer == cull.Yes && o.Retire && f.Kept
			if !drops && !retires || len(k.bags) == 0 || len(f.bags) != len(k.bags) {
				t.Fatalf("%+v of a frame with %+v goes", f, d)
			}
			for i, b := range k.bags {
				has := b.smalls[f.Path]
				if f.Kept {
					has = b.whole[f.Path]
				}
				if has.at != f.bags[i] || has.sum != f.Sum || has.bytes != f.Bytes || has.at == "" {
					t.Fatalf("%+v: %s has %+v", f, b.dir, has)
				}
			}
		}
		told := len(p.Go) + len(p.Stay)
		for _, f := range k.frames {
			for _, x := range f.Files {
				if o.concerns(x, k.answers[f.ID]) {
					told--
				}
			}
		}
		if told != 0 {
			t.Fatalf("%d files too many, or too few, are told of", told)
		}
	})
}

// The reasons, one by one.
func TestWhyFilesStay(t *testing.T) {
	type change func(*known, *Options)
	const id, path = cull.ID("f"), "A/1.CR3"
	for name, c := range map[string]struct {
		change change
		why    Why
	}{
		"nothing against it":    {func(*known, *Options) {}, goes},
		"unseen":                {func(k *known, _ *Options) { k.answers[id] = cull.Decision{Answer: cull.No} }, NotShown},
		"unseen, and asked for": {func(k *known, o *Options) { k.answers[id] = cull.Decision{Answer: cull.No}; o.Unshown = true }, goes},
		"taken back":            {func(k *known, o *Options) { k.back = map[cull.ID]bool{id: true}; o.Unshown = true }, TakenBack},
		"finished":              {func(k *known, _ *Options) { k.shown[id] = true }, Finished},
		"a bag without it":      {func(k *known, _ *Options) { delete(k.bags[1].smalls, path) }, NotArchived},
		"no JPEG in it": {func(k *known, _ *Options) {
			delete(k.bags[0].smalls, path)
			k.bags[0].whole[path], k.bags[0].dropped[path] = kept{"data/job/" + path, [32]byte{1}, 7}, true
		}, NoPicture},
		"dropped since it was archived": {func(k *known, _ *Options) {
			delete(k.bags[0].smalls, path)
			k.bags[0].whole[path] = kept{"data/job/" + path, [32]byte{1}, 7}
		}, NotArchived},
		"bags that differ": {func(k *known, _ *Options) { k.bags[1].smalls[path] = kept{"data/small/x", [32]byte{2}, 7} }, Differs},
		"another size":     {func(k *known, _ *Options) { k.bags[0].smalls[path] = kept{"data/small/x", [32]byte{1}, 8} }, Differs},
		"another frame has it": {func(k *known, _ *Options) {
			k.frames["g"] = cull.Frame{ID: "g", Files: []cull.File{{Path: "a/1.cr3"}}}
		}, Shared},
	} {
		small := kept{"data/small/" + path + ".jpg", [32]byte{1}, 7}
		k := known{shown: map[cull.ID]bool{}, answers: map[cull.ID]cull.Decision{id: {Answer: cull.No, Shown: true}},
			frames: map[cull.ID]cull.Frame{id: {ID: id, Files: []cull.File{{Path: path, Kind: "CR3", Role: cull.RoleMain, Size: 7}}}}}
		for _, dir := range []string{"one", "two"} {
			k.bags = append(k.bags, testimony{dir: dir, smalls: map[string]kept{path: small}, whole: map[string]kept{}, dropped: map[string]bool{}})
		}
		var o Options
		c.change(&k, &o)
		p := draw(k, o)
		if c.why == goes && (len(p.Go) != 1 || len(p.Stay) != 0) || c.why != goes && (len(p.Go) != 0 || len(p.Stay) != 1 || p.Stay[0].Why != c.why) {
			t.Errorf("%s: %+v", name, p)
		}
	}
}

// Where small pictures were brought down, a person is told before originals go.
func TestReducedPictures(t *testing.T) {
	shot := func(w, h int) cull.Frame { return cull.Frame{Shot: cull.Shot{Width: w, Height: h}} }
	k := known{
		frames: map[cull.ID]cull.Frame{"a": shot(6000, 4000), "b": shot(4000, 6000), "c": shot(0, 0), "d": shot(6000, 4000)},
		bags: []testimony{
			{edges: map[string]int{"a": 6000, "b": 3000, "c": 800, "d": 800}},
			{edges: map[string]int{"a": 1600, "b": 3000, "c": 800}}, // which says nothing of d
		},
	}
	for _, c := range []struct {
		ids         string
		n, edge, of int
	}{{"a", 1, 1600, 6000}, {"b", 0, 0, 0}, {"c", 0, 0, 0}, {"d", 1, 800, 6000}, {"abc", 1, 1600, 6000}, {"ad", 2, 800, 6000}, {"", 0, 0, 0}} {
		var files []File
		for _, id := range c.ids {
			files = append(files, File{Frame: cull.ID(id), bags: []string{string(id), string(id)}})
		}
		if n, edge, of := k.reduced(files); n != c.n || edge != c.edge || of != c.of {
			t.Errorf("%q: %d, %d of %d", c.ids, n, edge, of)
		}
		for i := range files {
			files[i].Kept = true
		}
		if n, _, _ := k.reduced(files); n != 0 {
			t.Errorf("%q, whose originals are in the bags: %d", c.ids, n)
		}
	}
}
