package archive_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/store/archive"
	"garner/store/vfs"
	"garner/testdata/testneed"
)

// suite is what is wrong with the bags of the public BagIt conformance suite (Library
// of Congress, bagit-conformance-suite, public domain), by its folders: a part of the
// first fault of a bag that is not valid, or of a warning of one that has to have some.
var suite = map[string]string{
	"v0.97/invalid/baginfo-missing-encoding":                                     "bagit.txt does not say Tag-File-Character-Encoding",
	"v0.97/invalid/bom-in-bagit.txt":                                             "bagit.txt begins with a byte-order mark",
	"v0.97/invalid/corrupt-data-file":                                            "data/bare-filename has other bytes than those of manifest-md5.txt",
	"v0.97/invalid/corrupt-tag-file":                                             "bag-info.txt has other bytes than those of tagmanifest-md5.txt",
	"v0.97/invalid/extra-file-in-bag":                                            "data/bar is in no manifest",
	"v0.97/invalid/invalid-version-number":                                       `bagit.txt is of BagIt version ".97"`,
	"v0.97/invalid/missing-baginfo":                                              "bag-info.txt is missing",
	"v0.97/invalid/missing-bagit.txt":                                            "bagit.txt is missing",
	"v0.97/invalid/out-of-scope-file-paths-using-dot-notation":                   "leads out of the bag",
	"v0.97/invalid/out-of-scope-file-paths-using-dot-notation-for-fetch":         "fetch.txt lists in line 1 a path that is not in data/",
	"v0.97/invalid/same-filename-listed-twice-with-different-hashes":             `manifest-sha256.txt gives two checksums to "data/README"`,
	"v0.97/linux-only/out-of-scope-file-paths-using-absolute-path":               "leads out of the bag",
	"v0.97/linux-only/out-of-scope-file-paths-using-absolute-path-for-fetch":     "fetch.txt lists in line 1 a path that is not in data/",
	"v0.97/linux-only/out-of-scope-file-paths-using-shortcut":                    "leads out of the bag",
	"v0.97/linux-only/out-of-scope-file-paths-using-shortcut-for-fetch":          "fetch.txt lists in line 1 a path that is not in data/",
	"v0.97/linux-only/out-of-scope-file-paths-using-shortcut-username":           "leads out of the bag",
	"v0.97/linux-only/out-of-scope-file-paths-using-shortcut-username-for-fetch": "fetch.txt lists in line 1 a path that is not in data/",
	// What would lead out on Windows is elsewhere a name outside of data/: never valid.
	"v0.97/windows-only/out-of-scope-file-paths-using-absolute-path":           "that is not in data/",
	"v0.97/windows-only/out-of-scope-file-paths-using-absolute-path-for-fetch": "fetch.txt lists in line 1 a path that is not in data/",
	"v0.97/windows-only/out-of-scope-file-paths-using-shortcut":                "that is not in data/",
	"v0.97/windows-only/out-of-scope-file-paths-using-shortcut-for-fetch":      "fetch.txt lists in line 1 a path that is not in data/",
	"v0.97/windows-only/out-of-scope-file-paths-using-unc":                     "that is not in data/",
	"v0.97/windows-only/out-of-scope-file-paths-using-unc-for-fetch":           "fetch.txt lists in line 1 a path that is not in data/",

	"v0.97/warning/duplicate-file-with-different-case":                      `data/HELLO.txt is there under the name "data/hello.txt"`,
	"v0.97/warning/made-with-md5sum-tools":                                  "manifest-md5.txt has an asterisk before a path",
	"v0.97/warning/relative-path":                                           `manifest-sha512.txt has "./" before a path`,
	"v0.97/warning/same-filename-listed-twice-with-different-normalization": "which differs in case or normal form alone",
	"v0.97/warning/same-filename-listed-twice-with-the-same-hash":           `manifest-sha256.txt lists "data/README" twice`,
	"v0.97/warning/special-system-files":                                    "data/.DS_Store is a file that systems make",

	"v1.0/invalid/bagit-with-invalid-whitespace":                    "bagit.txt has blanks in line 1",
	"v1.0/invalid/notAllManifestsListAllFiles":                      "data/missingFromManifest.txt is in no manifest",
	"v1.0/invalid/same-filename-listed-twice-with-different-hashes": `manifest-sha256.txt gives two checksums to "data/README"`,
	"v1.0/invalid/same-filename-listed-twice-with-the-same-hash":    `manifest-sha256.txt lists "data/README" twice`,
}

// suiteBags lists the bags of the suite as VERSION/CLASS/NAME.
func suiteBags(t *testing.T) (root string, bags []string) {
	root = filepath.Join(testneed.Samples(t), "bagit")
	found, err := filepath.Glob(filepath.Join(root, "v*", "*", "*"))
	must(t, err)
	for _, dir := range found {
		if info, err := os.Stat(dir); err == nil && info.IsDir() { // Makefiles lie beside them
			rel, _ := filepath.Rel(root, dir)
			bags = append(bags, filepath.ToSlash(rel))
		}
	}
	return root, bags
}

func TestConformanceSuite(t *testing.T) {
	root, bags := suiteBags(t)
	seen := map[string]int{}
	for _, bag := range bags {
		t.Run(bag, func(t *testing.T) {
			class := strings.Split(bag, "/")[1]
			seen[class]++
			dir := filepath.Join(root, filepath.FromSlash(bag))
			if strings.HasSuffix(bag, "special-system-files") {
				dir = withLitter(t, dir)
			}
			r, err := archive.Check(context.Background(), vfs.OS{}, dir, nil)
			must(t, err)
			want, known := suite[bag]
			delete(suite, bag)
			said := -1
			for i, f := range r.Findings {
				if f.Fault == (class != "warning") && strings.Contains(f.String(), want) {
					said = i
				}
			}
			valid := class == "valid" || class == "warning"
			if r.Valid() != valid || known == (class == "valid") || known && said < 0 {
				t.Errorf("valid: %v, want %q in %q", r.Valid(), want, r.Findings)
			}
			if _, err := archive.Open(vfs.OS{}, dir); valid && err != nil {
				t.Errorf("Open: %v", err)
			}
			if testing.Verbose() {
				t.Log(r.Findings)
			}
		})
	}
	if len(suite) > 0 {
		t.Errorf("never seen: %v", suite)
	}
	if seen["valid"] < 27 || seen["invalid"] < 15 || seen["warning"] < 6 {
		t.Errorf("the suite is not whole: %v", seen)
	}
}

// withLitter is the suite's bag with the file that its manifest lists and that many
// copies of the suite have lost, since systems and archives leave it out: an empty
// data/.DS_Store. Without it the bag is incomplete.
func withLitter(t *testing.T, dir string) string {
	r, err := archive.Check(context.Background(), vfs.OS{}, dir, nil)
	must(t, err)
	if _, err := os.Stat(filepath.Join(dir, "data", ".DS_Store")); err == nil {
		return dir
	}
	if r.Complete() || r.Findings[1].String() != "data/.DS_Store is missing" {
		t.Errorf("without .DS_Store: %v", r.Findings)
	}
	whole := t.TempDir()
	must(t, os.CopyFS(whole, os.DirFS(dir)))
	must(t, os.WriteFile(filepath.Join(whole, "data", ".DS_Store"), nil, 0o666))
	return whole
}

// The bags of which parts lie elsewhere, with those parts taken away.
func TestHoleyBags(t *testing.T) {
	root, bags := suiteBags(t)
	n := 0
	for _, bag := range bags {
		if !strings.HasSuffix(bag, "valid/holey-bag") {
			continue
		}
		n++
		dir := t.TempDir()
		must(t, os.CopyFS(dir, os.DirFS(filepath.Join(root, filepath.FromSlash(bag)))))
		must(t, os.RemoveAll(filepath.Join(dir, "data", "dir1")))
		must(t, os.RemoveAll(filepath.Join(dir, "data", "dir2")))
		r, err := archive.Check(context.Background(), vfs.OS{}, dir, nil)
		must(t, err)
		if r.Valid() || r.Complete() || r.ToFetch != 3 || r.Findings[1].Fault || r.Findings[0].String() != "the bag is incomplete: 3 files are to be fetched" {
			t.Errorf("%s: %d, %v", bag, r.ToFetch, r.Findings)
		}
	}
	if n != 2 {
		t.Errorf("%d holey bags", n)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
