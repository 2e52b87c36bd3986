package handoff

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// as opens the bench's job again with other settings.
func (b *bench) as(s job.Settings) {
	b.t.Helper()
	j, err := job.Open(b.j.Root(), job.Options{Who: "anna", Settings: s})
	if err != nil {
		b.t.Fatal(err)
	}
	b.j = j
}

// The studio's words go into sidecars beside the decision, here and in the folder
// of copies; what another program says of who took the picture stays; with the
// decision they are taken back, also after the catalogue was lost.
func TestCredit(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	settings := job.Settings{Credit: "Berg Weddings", Rights: "© Berg", Bodies: map[string]job.BodySettings{"1": {Photographer: "Anna Berg"}}}
	b.as(settings)
	const theirs = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` +
		`<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:creator><rdf:Seq><rdf:li>Ben</rdf:li></rdf:Seq></dc:creator></rdf:Description></rdf:RDF></x:xmpmeta>`
	b.put("A/F_02.xmp", theirs)
	b.answer(cull.Yes, 0)
	b.answer(cull.Yes, 1)
	to := t.TempDir()
	_, told := b.run(Options{To: to, Replace: true})
	if !strings.Contains(strings.Join(told, "\n"), "A/F_02.xmp conflict") {
		t.Errorf("told %q", told)
	}
	if v := b.values("A/F_01.xmp"); v.Creator != "Anna Berg" || v.Credit != "Berg Weddings" || v.Rights != "© Berg" {
		t.Errorf("%+v", v)
	}
	if v := b.values("A/F_02.xmp"); v.Creator != "Ben" || v.Credit != "Berg Weddings" || v.Rating == nil {
		t.Errorf("%+v", v)
	}
	copies, err := filepath.Glob(filepath.Join(to, "*", "*.xmp"))
	if err != nil || len(copies) != 2 {
		t.Fatalf("copies %q, %v", copies, err)
	}
	for _, c := range copies {
		if data, err := os.ReadFile(c); err != nil || !strings.Contains(string(data), "<press:Credit>Berg Weddings</press:Credit>") && !strings.Contains(string(data), ">Berg Weddings<") {
			t.Errorf("%s: %v\n%s", c, err, data)
		}
	}
	settings.Rights = "© 2026 Berg"
	b.as(settings)
	if _, told := b.run(Options{}); !strings.Contains(told[0], "merged") {
		t.Errorf("other rights: %q", told)
	}
	if v := b.values("A/F_01.xmp"); v.Rights != "© 2026 Berg" {
		t.Errorf("%+v", v)
	}
	wrote, err := b.j.AllWrote()
	if err != nil {
		t.Fatal(err)
	}
	for key := range wrote { // as a lost catalogue would have it
		wrote[key] = nil
	}
	if err := b.j.SetWrote(wrote); err != nil {
		t.Fatal(err)
	}
	if _, told := b.run(Options{}); !strings.HasSuffix(told[0], "unchanged") {
		t.Errorf("without records: %q", told)
	}
	b.answer(cull.Open, 0)
	b.answer(cull.Open, 1)
	b.run(Options{})
	if v := b.values("A/F_01.xmp"); !v.IsZero() {
		t.Errorf("taken back: %+v", v)
	}
	if v := b.values("A/F_02.xmp"); v.Creator != "Ben" || v.Rating != nil {
		t.Errorf("taken back: %+v", v)
	}
}
