package handoff

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"garner/cull"
	"garner/testdata/testneed"
)

// exiftool prints the values of ours in a sidecar, one a line, and its warnings.
func exiftool(t *testing.T, file string) string {
	t.Helper()
	out, _ := exec.Command(testneed.Tool(t, "exiftool"), "-s", "-a", "-G1", "-XMP-xmp:Rating", "-XMP-xmpDM:Good", "-XMP-xmpDM:Scene",
		"-XMP-xmpDM:CameraLabel", "-XMP-xmp:MetadataDate", "-Warning", "-Error", file).CombinedOutput()
	return string(out)
}

func TestReadersFindOurValues(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0)
	b.answer(cull.No, 1)
	b.answer(cull.Part, 2)
	b.do(cull.NameScene{Frame: b.id(0), Name: `Cake & "toast" <Ö>`})
	b.run(Options{Drops: true, Rating: 2})
	for path, wants := range map[string][]string{
		"A/F_01.xmp": {"Rating                          : 2", "Good                            : True", `Scene                           : Cake & "toast" <Ö>`, "CameraLabel                     : A", "MetadataDate                    : 2026:06:14 10:00:01.000Z"},
		"A/F_02.xmp": {"Rating                          : -1", "Good                            : False"},
		"A/F_03.xmp": {"Rating                          : 2", "Good                            : True"},
	} {
		file := filepath.Join(b.j.Root(), filepath.FromSlash(path))
		got := exiftool(t, file)
		for _, w := range wants {
			if !strings.Contains(got, w) {
				t.Errorf("exiftool, %s: no %q in\n%s", path, w, got)
			}
		}
		if strings.Contains(got, "Warning") || strings.Contains(got, "Error") {
			t.Errorf("exiftool, %s:\n%s", path, got)
		}
		out, err := exec.Command(testneed.Tool(t, "exiv2"), "-PXkv", "print", file).CombinedOutput()
		rating := strings.Fields(wants[0])[2]
		if err != nil || !regexp.MustCompile(`Xmp\.xmp\.Rating +`+rating+`\b`).Match(out) || !strings.Contains(string(out), "Xmp.xmpDM.good") {
			t.Errorf("exiv2, %s: %v\n%s", path, err, out)
		}
	}
}

// ours are the spans of a sidecar that a handoff may change: our properties in
// attribute and element form, and namespace declarations that came with them.
var ours = regexp.MustCompile(`(?s)\s*(xmp|xmpDM|xap):(Rating|good|scene|cameraLabel|MetadataDate)=("[^"]*"|'[^']*')` +
	`|\s*<(xmp|xmpDM|xap):(Rating|good|scene|cameraLabel|MetadataDate)[^>]*>[^<]*</[^>]*>` +
	`|\s*xmlns:(xmp|xmpDM|xap)=("[^"]*"|'[^']*')` +
	`|\s*</?rdf:Description(\s+rdf:about=(''|""))?>|\s*/>|\s*>`)

func text(data []byte) string {
	if len(data) > 2 && (data[0] == 0xFE && data[1] == 0xFF || data[0] == 0 && data[1] == '<') {
		u := make([]uint16, len(data)/2)
		for i := range u {
			u[i] = uint16(data[2*i])<<8 | uint16(data[2*i+1])
		}
		return string(utf16.Decode(u))
	}
	return string(data)
}

// Every sidecar of the samples becomes the sidecar of a frame. After a handoff
// all that is not ours is as it was, and exiftool has no more to complain of
// than before. (samples/SOURCES.md says where they come from.)
func TestMergingIntoRealSidecars(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(testneed.Samples(t), "xmp", "*.xmp"))
	if err != nil || len(files) < 9 {
		t.Fatalf("%d sample sidecars, %v", len(files), err)
	}
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			b := newBench(t, "A/F_01.NEF")
			b.put("A/F_01.xmp", string(data))
			side := filepath.Join(b.j.Root(), "A", "F_01.xmp")
			before := warnings(t, side)
			b.answer(cull.Yes, 0)
			_, told := b.run(Options{Replace: true})
			after, err := os.ReadFile(side)
			if err != nil {
				t.Fatal(err)
			}
			if strings.HasSuffix(told[0], "failed") {
				if !bytes.Equal(after, data) {
					t.Error("could not be parsed, yet was changed")
				}
				if name != "exiv2_issue_1821_poc.xmp" { // malformed on purpose
					t.Errorf("told %v", told)
				}
				return
			}
			if strings.HasSuffix(told[0], "unchanged") {
				t.Errorf("told %v", told)
			}
			strip := func(d []byte) string { return ours.ReplaceAllString(text(d), "") }
			if strip(after) != strip(data) {
				t.Errorf("more than our properties changed:\n%s\n---\n%s", strip(data), strip(after))
			}
			if v := b.values("A/F_01.xmp"); v.Rating == nil || *v.Rating != 1 || v.Good == nil || !*v.Good {
				t.Errorf("%+v", v)
			}
			if now := warnings(t, side); now != before {
				t.Errorf("exiftool said %q, now %q", before, now)
			}
			if _, told = b.run(Options{Replace: true}); !strings.HasSuffix(told[0], "unchanged") {
				t.Errorf("the second time: %v", told)
			}
		})
	}
}

func warnings(t *testing.T, file string) string {
	t.Helper()
	out, _ := exec.Command(testneed.Tool(t, "exiftool"), "-s", "-s", "-s", "-a", "-Warning", "-Error", file).CombinedOutput()
	return string(out)
}

// Sidecars that exiftool and exiv2 wrote themselves are merged like any other.
func TestMergingIntoSidecarsOfOthers(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	one, two := filepath.Join(b.j.Root(), "A", "F_01.xmp"), filepath.Join(b.j.Root(), "A", "F_02.xmp")
	if out, err := exec.Command(testneed.Tool(t, "exiftool"), "-o", one, "-XMP-dc:Subject=aunt", "-XMP-dc:Description=Two aunts", "-XMP-xmp:Label=later").CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	b.put("A/F_02.xmp", `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"/></x:xmpmeta>`)
	if out, err := exec.Command(testneed.Tool(t, "exiv2"), "-M", "set Xmp.dc.title Cake", "-M", "set Xmp.xmp.Label later", two).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	b.answer(cull.Yes, 0, 1)
	_, told := b.run(Options{})
	want(t, told, "A/F_01.xmp merged", "A/F_02.xmp merged")
	for file, kept := range map[string]string{one: "aunt", two: "Cake"} {
		out, err := exec.Command(testneed.Tool(t, "exiftool"), "-a", file).CombinedOutput()
		if err != nil || !strings.Contains(string(out), kept) || !strings.Contains(string(out), "later") || !regexp.MustCompile(`Rating +: 1`).Match(out) || strings.Contains(string(out), "Warning") {
			t.Errorf("%v\n%s", err, out)
		}
	}
}
