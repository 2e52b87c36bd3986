package station

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull/prepare"
)

// A rating in a sidecar that came with a frame is shown with where it comes from.
func TestRatedInTheSidecar(t *testing.T) {
	dir := shoot(t, true)
	names, err := filepath.Glob(filepath.Join(dir, "*", "*.*"))
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	for _, n := range names {
		packet := `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="4"/></rdf:RDF></x:xmpmeta>`
		if err := os.WriteFile(n[:len(n)-len(filepath.Ext(n))]+".xmp", []byte(packet), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	j := openJob(t, dir)
	_, err = prepare.Scan(t.Context(), j)
	if err = errors.Join(err, j.Close()); err != nil {
		t.Fatal(err)
	}
	p := sit(t, dir, Options{AsItIs: true})
	p.look()
	for {
		if h, ok := p.desk.Here(); ok && slices.Contains(p.desk.Marks(h.Frame), "rated 4 in the sidecar") {
			return
		}
		n, ok := p.desk.Next() // a test that waits in vain is ended by its time limit
		if !ok {
			t.Fatal("no more news")
		}
		p.desk.Take(n)
		p.look()
	}
}
