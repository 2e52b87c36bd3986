// Package catalogtest gives tests a catalogue that is checked when they end.
package catalogtest

import (
	"path/filepath"
	"testing"

	"garner/store/catalog"
)

// New makes an empty catalogue in a folder of the test's own. When the test
// ends, the catalogue is checked, and what the check finds fails the test.
func New(t testing.TB) *catalog.DB {
	t.Helper()
	db := catalog.New(filepath.Join(t.TempDir(), "catalog.db"), catalog.Options{})
	if _, err := db.Repair(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { Check(t, db.Path()) })
	return db
}

// Check fails the test for everything that catalog.Check finds.
func Check(t testing.TB, path string) {
	t.Helper()
	found, err := catalog.Check(path)
	if err != nil {
		t.Errorf("check: %v", err)
	}
	for _, p := range found {
		t.Errorf("check: %s: %s", p.Code, p.Text)
	}
}
