package sidecar

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

func credited(v Values) Values {
	v.Creator, v.Credit, v.Rights = "Anna Berg", "Berg & Söhne", "© 2026 Berg"
	return v
}

const (
	benMade = "<dc:creator><rdf:Seq><rdf:li>Ben</rdf:li></rdf:Seq></dc:creator>"
	twoMade = "<dc:creator><rdf:Seq><rdf:li>Ben</rdf:li><rdf:li>Anna Berg</rdf:li></rdf:Seq></dc:creator>"
	german  = `<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">© 2026 Berg</rdf:li><rdf:li xml:lang="de">© Berg</rdf:li></rdf:Alt></dc:rights>`
)

// Credit and rights are written, changed and taken back by the rules of all other
// values, and what somebody else wrote stays whatever is asked.
func TestCredit(t *testing.T) {
	changed := credited(keep(one))
	changed.Creator, changed.Credit, changed.Rights = "Cleo", "Cleo's", "© Cleo"
	for _, c := range []struct {
		name, content string
		want          Action
		creator       string
		reason        string
	}{
		{"none", "", Merged, "Anna Berg", ""},
		{"another creator", benMade, Conflict, "Ben", `dc:creator is "Ben", which is not ours; wanted "Anna Berg"`},
		{"two creators", twoMade, Conflict, "", "dc:creator is not a single text in the file (sequence)"},
		{"as a text", "<dc:creator>Ben</dc:creator>", Conflict, "Ben", `dc:creator is "Ben", which is not ours; wanted "Anna Berg"`},
		{"as a text, and empty", "<dc:creator/>", Merged, "Anna Berg", ""},
		{"the same already", strings.Replace(benMade, "Ben", "Anna Berg", 1), Merged, "Anna Berg", ""},
		{"rights in two languages", german, Conflict, "Anna Berg", "dc:rights is not a single text in the file (alternatives)"},
	} {
		for _, replace := range []bool{false, true} {
			t.Run(c.name, func(t *testing.T) {
				r := Request{Old: []byte(theirs("", c.content)), Want: credited(keep(noon)), Replace: replace}
				got := merged(t, r, c.want)
				if got.Reason != c.reason {
					t.Errorf("reason %s", got.Reason)
				}
				v := get(t, got.Bytes)
				if v.Creator != c.creator || v.Credit != "Berg & Söhne" || v.Rating == nil || *v.Rating != 1 {
					t.Errorf("%+v", v)
				}
				if c.content != "" && c.want == Conflict && !strings.Contains(string(got.Bytes), c.content) {
					t.Errorf("theirs is gone:\n%s", got.Bytes)
				}
				next := Merge(Request{Old: got.Bytes, Want: changed, Last: &got.Wrote, Replace: replace})
				if v := get(t, next.Bytes); c.content == "" && (v.Creator != "Cleo" || v.Credit != "Cleo's" || v.Rights != "© Cleo") {
					t.Errorf("changed: %+v", v)
				}
				back := Merge(Request{Old: next.Bytes, Want: open(one), Last: &next.Wrote, Replace: replace})
				if old := string(r.Old); c.name != "as a text, and empty" && string(back.Bytes) != old {
					t.Errorf("taken back: %s\n%s", back.Bytes, old)
				}
			})
		}
	}
}

// The reference tools find the three where IPTC Photo Metadata has them, in a new
// sidecar and in one of another program, and have nothing to complain of.
func TestReadersFindTheCredit(t *testing.T) {
	exiftool, exiv2 := testneed.Tool(t, "exiftool"), testneed.Tool(t, "exiv2")
	for name, old := range map[string][]byte{"new": nil, "merged": []byte(theirs("", ""))} {
		path := filepath.Join(t.TempDir(), "IMG_0001.xmp")
		got := Merge(Request{Old: old, Want: credited(keep(noon))})
		if err := os.WriteFile(path, got.Bytes, 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(exiftool, "-charset", "utf8", "-s3", "-XMP-dc:Creator", "-XMP:Credit", "-XMP-dc:Rights", path).CombinedOutput()
		if want := "Anna Berg\nBerg & Söhne\n© 2026 Berg\n"; err != nil || string(out) != want {
			t.Errorf("%s: exiftool reads %q, %v", name, out, err)
		}
		says, err := exec.Command(exiftool, "-validate", "-warning", "-error", "-a", "-s3", path).CombinedOutput()
		if err != nil || strings.TrimSpace(string(says)) != "OK" {
			t.Errorf("%s: exiftool says %s, %v", name, says, err)
		}
		out, err = exec.Command(exiv2, "-PXkyt", "print", path).CombinedOutput()
		for _, want := range []string{"Xmp.dc.creator XmpSeq Anna Berg", "Credit XmpText Berg & Söhne", `Xmp.dc.rights LangAlt lang="x-default" © 2026 Berg`} {
			if text := strings.Join(strings.Fields(string(out)), " "); err != nil || !strings.Contains(text, want) {
				t.Errorf("%s: exiv2, no %s in %s (%v)", name, want, text, err)
			}
		}
	}
}
