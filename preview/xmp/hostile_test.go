package xmp

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"
)

// TestHostileCost: no document of allowed size takes time out of proportion.
// The shapes are those for which a careless reader is quadratic.
func TestHostileCost(t *testing.T) {
	if testing.Short() {
		t.Skip("parses large documents")
	}
	const n = 50_000
	many := func(format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	desc := func(s string) string { return rdfOpen + "<rdf:Description>" + s + "</rdf:Description></rdf:RDF>" }
	declared := ` xmlns:xmp="` + NSXMP + `"`
	for name, s := range map[string]string{
		"declarations and nodes": `<rdf:RDF xmlns:rdf="` + NSRDF + `"` + many(` xmlns:p%d="u"`) + ">" + many("<rdf:Description>%d</rdf:Description>") + "</rdf:RDF>",
		"one prefix again":       desc(many(`<a%d xmlns="u"/>`)),
		"attributes":             rdfOpen + "<rdf:Description" + many(` a%d=""`) + "/></rdf:RDF>",
		"keywords":               desc(`<dc:subject xmlns:dc="` + NSDC + `"><rdf:Bag>` + many("<rdf:li>%d</rdf:li>") + "</rdf:Bag></dc:subject>"),
		"comments in a value":    desc("<xmp:Rating" + declared + ">" + many("%d<!-- -->") + "</xmp:Rating>"),
		"repeated property":      desc(strings.Repeat("<xmp:Rating"+declared+"/>", n)),
		"references":             desc("<a>" + strings.Repeat("&#x00000041;", 10*n) + "</a>"),
		"blanks":                 rdfOpen + strings.Repeat(" ", MaxSize/2) + "</rdf:RDF>",
		"open quotes":            desc("<a b='" + strings.Repeat("\"", 10*n) + "'/>"),
	} {
		start := time.Now()
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		d, err := Parse([]byte(s))
		runtime.ReadMemStats(&after)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		_, err = d.Apply([]Edit{setRating, setGood, addAlbum})
		took := time.Since(start)
		t.Logf("%s: %d bytes, %v, %d MiB, %v", name, len(s), took.Round(time.Millisecond), (after.TotalAlloc-before.TotalAlloc)>>20, err)
		// A quadratic walk over these takes minutes; the limit leaves room for slow machines.
		if took > 10*time.Second {
			t.Errorf("%s: %v", name, took)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 64<<20+40*uint64(len(s)) {
			t.Errorf("%s: parsing %d bytes allocated %d", name, len(s), grown)
		}
	}
}

func BenchmarkApply(b *testing.B) {
	s := packet(`<rdf:Description rdf:about="">` + strings.Repeat("\n <dc:a>0.25</dc:a>", 200) + "\n</rdf:Description>")
	s = strings.ReplaceAll(s, "dc:subject", "dc:other")
	d := mustParse(b, s)
	b.SetBytes(int64(len(s)))
	for b.Loop() {
		if _, err := d.Apply([]Edit{setRating, setGood, addAlbum}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadRating(b *testing.B) {
	s := []byte(packet(`<rdf:Description rdf:about="" xmp:Rating="3"/>` + strings.Repeat(" ", 2048)))
	b.SetBytes(int64(len(s)))
	for b.Loop() {
		if v, ok := ReadRating(s); v != 3 || !ok {
			b.Fatal(v)
		}
	}
}
