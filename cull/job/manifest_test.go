package job_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/cull/job"
)

func TestManifestChanges(t *testing.T) {
	j := sample(t, 0)
	if sums, err := j.Manifest(); err != nil || len(sums) != 0 {
		t.Errorf("%v %v", sums, err)
	}
	must(t, j.RecordManifest(map[string]job.Sum{"a": {1}, "b": {2}, "c": {3}}))
	must(t, j.RecordManifest(map[string]job.Sum{"b": {4}}))
	must(t, j.RenameManifest(map[string]string{"a": "b", "b": "a", "c": "", "none": "d"}))
	sums, err := j.Manifest()
	must(t, err)
	if d := cmp.Diff(map[string]job.Sum{"b": {1}, "a": {4}}, sums); d != "" {
		t.Error(d)
	}
	must(t, os.WriteFile(filepath.Join(j.StateDir(), "manifest-sha256.txt"), []byte("nonsense\n"), 0o666))
	if _, err := j.Manifest(); err == nil || !strings.Contains(err.Error(), "manifest-sha256.txt: line 1") {
		t.Errorf("%v", err)
	}
	if err := j.RecordManifest(map[string]job.Sum{"a": {1}}); err == nil {
		t.Error("a manifest that can't be read was replaced")
	}
}
