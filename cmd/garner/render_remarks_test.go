package main

import (
	"bytes"
	"fmt"
	"sync"
	"testing"

	"garner/cull/output"
)

// What is the same with many files is said once, of damaged ones first, and not more
// than somebody reads.
func TestRemarks(t *testing.T) {
	var list remarks
	for i := range 9 {
		list.add(output.Line{Set: "screen", Picture: fmt.Sprintf("%d.tif", i), File: fmt.Sprintf("%d.jpg", i), Remarks: []string{"small"}})
	}
	list.add(output.Line{Set: "lab", Picture: "a.jpg", File: "a.jpg", Remarks: []string{"odd"}})
	for i := range 6 {
		list.add(output.Line{Set: "lab", Picture: "b.jpg", File: "b.jpg", Remarks: []string{fmt.Sprint("reason ", i)}})
	}
	list.add(output.Line{Set: "lab", Picture: "c.jpg", File: "c.jpg", Remarks: []string{output.Damaged}})
	var said bytes.Buffer
	desk{err: &said, mu: new(sync.Mutex), progress: new(bool)}.sayRemarks(list)
	want := "garner: sets/lab/c.jpg: " + output.Damaged + `
garner: sets/screen, 9 files: small: 0.jpg of 0.tif, 1.jpg of 1.tif, 2.jpg of 2.tif, 3.jpg of 3.tif, 4.jpg of 4.tif, 5.jpg of 5.tif and 3 more
garner: sets/lab/a.jpg: odd
garner: sets/lab/b.jpg: reason 0
garner: sets/lab/b.jpg: reason 1
garner: sets/lab/b.jpg: reason 2
garner: remarks on 3 files more (render --json --force lists them)
`
	if got := said.String(); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}
