package archive

import (
	"bytes"
	"fmt"
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// said are the findings of a parser, as sentences; faults begin with an exclamation mark.
func said(f *findings) (all []string) {
	for _, n := range f.sorted() {
		if n.Fault {
			all = append(all, "!"+n.String())
		} else {
			all = append(all, n.String())
		}
	}
	return all
}

// RFC 8493 section 2.1.1.
func TestDeclaration(t *testing.T) {
	const enc = "Tag-File-Character-Encoding: UTF-8\n"
	for text, want := range map[string]string{
		"BagIt-Version: 1.0\n" + enc:                                "",
		"BagIt-Version: 0.97\r\nTag-File-Character-Encoding: UTF-8": "",
		"BagIt-Version: 1.0\r" + enc:                                "",
		"BagIt-Version: 1.0\n" + enc + "\n\n":                       "",
		"BagIt-Version:  1.0\n" + enc:                               "!bagit.txt has blanks in line 1 where none may be, or other letters",
		"bagit-version: 1.0\n" + enc:                                "!bagit.txt has blanks in line 1 where none may be, or other letters",
		"BagIt-Version : 0.96\n" + enc:                              "bagit.txt has blanks in line 1 where none may be, or other letters",
		"BagIt-Version: 1.0\n" + enc + "More: x\n":                  `!bagit.txt says "More: x" in line 3`,
		enc + "BagIt-Version: 1.0\n":                                `!bagit.txt says "BagIt-Version: 1.0" in line 2` + "\n" + `!bagit.txt says "Tag-File-Character-Encoding: UTF-8" in line 1`,
		"BagIt-Version: 2.0\n" + enc:                                `!bagit.txt is of BagIt version "2.0", which garner does not know`,
		"":                                                          "!bagit.txt does not say BagIt-Version\n!bagit.txt does not say Tag-File-Character-Encoding",
	} {
		var f findings
		parseDeclaration([]byte(text), &f)
		if got := strings.Join(said(&f), "\n"); got != want {
			t.Errorf("%q:\n%s\nwant\n%s", text, got, want)
		}
	}
}

// RFC 8493 section 2.1.3, with what older versions allowed.
func TestManifest(t *testing.T) {
	sum := strings.Repeat("0a", 32)
	for _, c := range []struct {
		line, path, says string
		v                version
	}{
		{line: sum + "  data/a", path: "data/a"},
		{line: sum + "\tdata/a b ", path: "data/a b "},
		{line: strings.ToUpper(sum) + " \t data/a", path: "data/a"},
		{line: sum + " data/50%25%0A%0d", path: "data/50%\n\r"},
		{line: sum + " data/%7E%2e%25", path: "data/%7E%2e%25", v: "0.97"},
		{line: sum + " data/%7E", path: "data/%7E"},
		{line: sum + " data/%250A", path: "data/%0A"},
		{line: sum + " *data/a", path: "data/a", says: "an asterisk"},
		{line: sum + " ./data/a", path: "data/a", says: `"./"`},
		{line: sum + " data/a/../b", says: "!leads out"},
		{line: sum + " data/./b", says: "!leads out"},
		{line: sum + " data//b", says: "!leads out"},
		{line: sum + " data/", says: "!leads out"},
		{line: sum + " ../data/a", says: "!leads out"},
		{line: sum + " /data/a", says: "!leads out"},
		{line: sum + " ~/data/a", says: "!leads out"},
		{line: sum + " data/\x00", says: "!leads out"},
		{line: sum + " bagit.txt", says: "!not in data/"},
		{line: sum + " database/a", says: "!not in data/"},
		{line: sum[2:] + " data/a", says: "!no sha256 and path"},
		{line: sum + "00 data/a", says: "!no sha256 and path"},
		{line: sum[2:] + "zz data/a", says: "!no sha256 and path"},
		{line: sum, says: "!no sha256 and path"},
		{line: sum + "  ", says: "!no sha256 and path"},
		{line: `\` + sum + `  data/a\\b`, says: "!no sha256 and path"},
		{line: sum + " data/a\n" + sum + " data/a", path: "data/a", says: "!twice"},
		{line: sum + " data/a\r\n" + sum + " ./data/a", path: "data/a", says: "twice", v: "0.97"},
		{line: sum + " data/a\r" + strings.Repeat("0b", 32) + " data/a", path: "data/a", says: "!two checksums", v: "0.97"},
	} {
		if c.v == "" {
			c.v = "1.0"
		}
		var f findings
		list := parseManifest(c.line, "manifest-sha256.txt", "sha256", c.v, &f)
		_, ok := list[c.path]
		faulty := strings.HasPrefix(c.says, "!")
		if all := strings.Join(said(&f), "\n"); ok != (c.path != "") || len(list) > 1 || (len(f.faults) > 0) != faulty || !strings.Contains(all, strings.TrimPrefix(c.says, "!")) || c.says == "" && all != "" {
			t.Errorf("%q: %q, %s", c.line, list, all)
		}
	}
}

// RFC 8493 section 2.2.1.
func TestTagManifest(t *testing.T) {
	line := strings.Repeat("0a", 16) + "  "
	for text, want := range map[string]int{line + "bag-info.txt": 0, line + "data/a": 1, line + "tagmanifest-md5.txt": 1, line + "meta/x.xml": 0, line + "~x": 1} {
		var f findings
		parseManifest(text, "tagmanifest-md5.txt", "md5", "1.0", &f)
		if len(f.faults) != want {
			t.Errorf("%q: %v", text, said(&f))
		}
	}
}

// RFC 8493 section 2.2.2, with its own example of a long value.
func TestInfo(t *testing.T) {
	var f findings
	got := parseInfo("External-Description: Uncompressed greyscale TIFF images from the\n  Yoshimuri papers collection.\r\nBagging-Date : 2008-01-15\n\nx:y:z\nno label\n: none\n", infoName, "1.0", &f)
	want := []Field{{"External-Description", "Uncompressed greyscale TIFF images from the Yoshimuri papers collection."}, {"Bagging-Date", "2008-01-15"}, {"x", "y:z"}}
	if d := cmp.Diff(want, got); d != "" || len(f.faults) != 2 {
		t.Error(d, said(&f))
	}
	if v, ok := field(got, "BAGGING-DATE"); !ok || v != "2008-01-15" {
		t.Errorf("%q", v)
	}
}

// A value of many lines is put together once: as many megabytes as the file may have are
// read in the blink of an eye, not in half an hour.
func TestInfoOfManyLines(t *testing.T) {
	const n = maxSmall / 4
	began := time.Now()
	var f findings
	got := parseInfo("a: b\n"+strings.Repeat(" xx\n", n), infoName, "1.0", &f)
	if took := time.Since(began); len(got) != 1 || len(got[0].Value) != 1+3*n || took > 20*time.Second {
		t.Errorf("%d fields in %s", len(got), took)
	}
}

func TestDecimal(t *testing.T) {
	for n, want := range map[int64]string{0: "0 B", 999: "999 B", 1000: "1.0 kB", 999_949: "999.9 kB", 999_950: "1.0 MB", 42_700_000_000: "42.7 GB", 1 << 62: "4.6 EB"} {
		if got := decimal(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}

// A file of lines that all are wrong must not fill the memory with what is said of it.
func TestFindingsAreBounded(t *testing.T) {
	var f findings
	parseManifest(strings.Repeat("x\n", 3*maxFindings), "manifest-sha256.txt", "sha256", "1.0", &f)
	if len(f.faults) != maxFindings || f.more != 2*maxFindings {
		t.Errorf("%d, %d", len(f.faults), f.more)
	}
}

func TestGrowingText(t *testing.T) {
	g := growing{there: true, adding: map[string]bool{"data/50%": true, "data/a\nb": true}, listed: map[string]sums{"data/c": sumsOf(nil)}, tags: map[string][]sums{"README.txt": {sumsOf([]byte("a")), sumsOf([]byte("b"))}}}
	again, err := parseGrowing(g.format())
	if err != nil || !bytes.Equal(again.format(), g.format()) || !again.knows("data/a\nb") || !again.explains("README.txt", sumsOf([]byte("b")).s256) {
		t.Errorf("%v\n%s", err, again.format())
	}
	for _, text := range []string{"", "adding data/a\n", growingText + "\nadding a\n", growingText + "\nadding data/../a\n", growingText + "\nlisting 00 00 data/a\n", growingText + "\nremove data/a\n"} {
		if g, err := parseGrowing([]byte(text)); err == nil || g.there {
			t.Errorf("%q is believed", text)
		}
	}
}

// FuzzManifest: what can be read stays in the bag, is bounded by the text, and is
// written so that it reads the same again.
func FuzzManifest(f *testing.F) {
	sum := strings.Repeat("0a", 32)
	for _, path := range []string{"data/a", "*data/a", "./data/a", "data/%25", "data/%0A%0d", "../a", "bagit.txt", "data/\xff\xfe", "data/a\r" + sum + " data/b"} {
		f.Add(sum+"  "+path+"\n", true, false)
		f.Add(sum+"\t"+path, false, true)
	}
	f.Fuzz(func(t *testing.T, text string, strict, tags bool) {
		v, file := version("0.97"), "manifest-sha256.txt"
		if strict {
			v = "1.0"
		}
		if tags {
			file = "tag" + file
		}
		var found findings
		list := parseManifest(text, file, "sha256", v, &found)
		if len(list) > len(text)/66 {
			t.Fatalf("%d files in %d bytes", len(list), len(text))
		}
		for path, sum := range list {
			if !local(path) || tags == isPayload(path) || len(sum) != 32 {
				t.Fatalf("%q, %x", path, sum)
			}
		}
		if tags || !strict {
			return
		}
		var none findings
		if again := parseManifest(string(formatManifest(list)), file, "sha256", "1.0", &none); !maps.Equal(again, list) || len(none.faults) > 0 {
			t.Fatalf("%q reads as %q, %v", list, again, said(&none))
		}
	})
}

// FuzzDeclaration: whatever bagit.txt says, there is a known version and something to
// decode by; and only the two lines of a declaration are without a finding.
func FuzzDeclaration(f *testing.F) {
	for _, text := range []string{declarationText, "\ufeff" + declarationText, "BagIt-Version : .97\r\n", "bagit-version:0.93\rTag-File-Character-Encoding:\tUTF-16\r", ""} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var found findings
		d := parseDeclaration(b, &found)
		if !known[d.version] {
			t.Fatalf("version %q", d.version)
		}
		if len(said(&found)) == 0 {
			plain := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(b))
			want := fmt.Sprintf("BagIt-Version: %s\nTag-File-Character-Encoding: %s", d.version, d.encoding)
			if strings.TrimSpace(plain) != strings.TrimSpace(want) {
				t.Fatalf("%q has no finding", b)
			}
		}
		decode(b, d.encoding, declarationName, &found)
	})
}

// FuzzInfo: what was read is written so that it reads the same again.
func FuzzInfo(f *testing.F) {
	for _, text := range []string{"a: b\n c\n\td\r\ne:f", " a\n:\n", "Payload-Oxum: 1.1\npayload-oxum :2.2", "a:\n\n b"} {
		f.Add(text, "UTF-8")
		f.Add("\xfe\xff\x00a\x00:", "utf-16")
		f.Add(text, "ISO-8859-1")
	}
	f.Fuzz(func(t *testing.T, raw, encoding string) {
		var found findings
		fields := parseInfo(decode([]byte(raw), encoding, infoName, &found), infoName, "1.0", &found)
		if len(fields) > len(raw) {
			t.Fatalf("%d fields in %d bytes", len(fields), len(raw))
		}
		var none findings
		text := formatInfo(fields)
		again := parseInfo(string(text), infoName, "1.0", &none)
		if !bytes.Equal(formatInfo(again), text) || len(none.faults) > 0 {
			t.Fatalf("%q reads as %q, %v", text, again, said(&none))
		}
	})
}

// FuzzFetch: nothing but payload is to be fetched.
func FuzzFetch(f *testing.F) {
	f.Add("http://x/ - data/a\r\nhttp://x/ 12 ./data/b c\n")
	f.Add("http://x/ - ../a\n- - data/%0A")
	f.Fuzz(func(t *testing.T, text string) {
		var found findings
		for path := range parseFetch(text, "1.0", &found) {
			if !local(path) || !isPayload(path) {
				t.Fatalf("%q", path)
			}
		}
	})
}

// FuzzGrowing: what is done by it stays in the bag, and it is written as it was read.
func FuzzGrowing(f *testing.F) {
	g := growing{adding: map[string]bool{"data/a": true, "data/%": true}, listed: map[string]sums{"data/c": {}}, tags: map[string][]sums{"bagit.txt": {{}, sumsOf(nil)}}}
	f.Add(g.format())
	f.Add([]byte(growingText + "\nadding ../../a\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		g, err := parseGrowing(b)
		if err != nil {
			if g.there || g.adding != nil {
				t.Fatal("something with an error")
			}
			return
		}
		for path := range g.adding {
			if !local(path) || !isPayload(path) {
				t.Fatalf("%q", path)
			}
		}
		again, err := parseGrowing(g.format())
		if err != nil || !bytes.Equal(again.format(), g.format()) {
			t.Fatalf("%v: %q", err, g.format())
		}
	})
}
