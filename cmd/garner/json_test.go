package main

import (
	"bufio"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/review"
)

// jsonLines runs a command and decodes its stdout, one object a line.
func jsonLines(t *testing.T, args ...string) []map[string]any {
	t.Helper()
	var out []map[string]any
	lines := bufio.NewScanner(strings.NewReader(outputOf(t, args...)))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var o map[string]any
		if err := json.Unmarshal(lines.Bytes(), &o); err != nil {
			t.Fatalf("%v: %s", err, lines.Text())
		}
		if o["v"] != 1.0 {
			t.Errorf("no v: %s", lines.Text())
		}
		out = append(out, o)
	}
	return out
}

func keys(t *testing.T, what string, o any, want ...string) {
	t.Helper()
	m, ok := o.(map[string]any)
	if !ok {
		t.Fatalf("%s is %v", what, o)
	}
	slices.Sort(want)
	if got := slices.Sorted(maps.Keys(m)); !slices.Equal(got, want) {
		t.Errorf("%s has %v, want %v", what, got, want)
	}
}

// TestJSONThatOtherProgramsRelyOn holds the keys of DESIGN section 6: fields may be
// added here, never renamed or lost. Unknown values are null, not left out.
func TestJSONThatOtherProgramsRelyOn(t *testing.T) {
	dir, _ := smallJob(t, 2)
	if err := os.WriteFile(filepath.Join(dir, "A", "LMR_0009.NEF"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "A", "notes.txt"), []byte("rings"), 0o644); err != nil {
		t.Fatal(err)
	}
	c := garner("prepare", dir)
	if err := c.Run(); c.ProcessState.ExitCode() != exitPartly {
		t.Fatalf("prepare with an empty raw: %v", err)
	}
	c = garner("prepare", dir, "--json")
	out, _ := c.Output()
	var frames, groups, others, measures int
	for line := range strings.Lines(string(out)) {
		var o map[string]any
		if err := json.Unmarshal([]byte(line), &o); err != nil {
			t.Fatal(err)
		}
		switch {
		case o["measures"] != nil:
			measures++
			keys(t, "measures", o, "v", "measures", "name", "focus", "light", "faces")
			keys(t, "focus", o["focus"], "method", "width_px", "height_px", "small", "spots")
			keys(t, "light", o["light"], "method", "clipped_share", "clipped_channel_share", "black_share")
			if o["faces"] != nil {
				t.Errorf("nobody said yes to faces: %v", o)
			}
		case o["frame"] != nil:
			frames++
			keys(t, "a frame", o, "v", "id", "frame", "files", "kind", "body", "time", "orientation", "exposure", "marks", "previews", "fingerprint", "problems")
			keys(t, "time", o["time"], "local", "zone", "zone_is")
			keys(t, "exposure", o["exposure"], "seconds", "f", "iso", "bias", "flash")
			keys(t, "marks", o["marks"], "camera_rating", "protected")
			if o["frame"] == "A/LMR_0009" {
				if o["kind"] != nil || o["body"] != nil || o["fingerprint"] != nil || o["time"].(map[string]any)["zone_is"] != "unknown" {
					t.Errorf("what is unknown is not null: %v", o)
				}
				keys(t, "a problem", o["problems"].([]any)[0], "code", "text")
				continue
			}
			keys(t, "a preview", o["previews"].([]any)[0], "file", "role", "offset", "length", "width", "height", "whole")
		case o["group"] != nil:
			groups++
			keys(t, "a group", o, "v", "group", "order", "moment", "moment_kind", "series", "alike", "scene", "corrected")
			keys(t, "scene", o["scene"], "id", "name")
		case o["other"] != nil:
			others++
			keys(t, "other", o, "v", "other", "why")
		default:
			keys(t, "the last", o, "v", "done", "frames", "failed", "cached", "seconds", "measured", "not_measured", "faces", "people")
		}
	}
	if frames != 3 || groups != 3 || others != 1 || measures != 2 {
		t.Errorf("%d frames, %d groups, %d others, %d measures", frames, groups, others, measures)
	}

	s := jsonLines(t, "status", dir, "--json")[0]
	keys(t, "status", s, "v", "frames", "bodies", "moments", "scenes", "could_not_be_shown", "no_time", "gone", "freed", "others", "handed_over", "passes", "cards", "alarms", "also", "damaged", "measured", "consent", "finished", "to_render", "sets", "way", "next", "archived", "aside", "pictured")
	keys(t, "a body", s["bodies"].([]any)[0], "label", "model", "serial", "frames", "offsets", "photographer", "usual_seconds")
	keys(t, "a pass", s["passes"].(map[string]any)["keep"], "source", "yes", "no", "part", "open")

	c = garner("decide", dir)
	c.Stdin = strings.NewReader("keep A/LMR_0001\n")
	if err := c.Run(); err != nil {
		t.Fatal(err)
	}
	h := jsonLines(t, "handoff", dir, "--json")
	keys(t, "a sidecar", h[0], "v", "id", "frame", "sidecar", "action")
	keys(t, "the last", h[1], "v", "done", "keeps", "parts", "in_file_kinds", "written", "merged", "unchanged", "withdrawn", "conflict", "skipped", "failed")

	v := jsonLines(t, "verify", dir, "--json", "--record")
	keys(t, "a file", v[0], "v", "event", "path", "state")
	keys(t, "the last", v[len(v)-1], "v", "event", "files", "bytes", "catalogue", "bad", "sidecars", "from_cache", "no_catalogue")
}

// TestNoControlBytesReachTheTerminal: names that act on a terminal (CHECKS
// section 7) come out as escapes on both streams of every command.
func TestNoControlBytesReachTheTerminal(t *testing.T) {
	dir, _ := smallJob(t, 1)
	data, err := cameraFile(".DNG", map[string]string{"serial": "\x1b[31mred", "shade": "77", "at": "2026-06-13T18:02:05.10"})
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"IMG\x1b[2J", "a\x1b]52;c;ZXZpbA==\x07", "b\x9b31m", "c\u009b31m", "d\r\x1b[1Aok", "e\n", "g\u202egpj"} {
		if err := os.WriteFile(filepath.Join(dir, "A", name+".DNG"), append(data, byte(i)), 0o644); err != nil {
			t.Skip("the file system does not take such names: " + err.Error())
		}
		if err := os.WriteFile(filepath.Join(dir, "A", name+".txt"), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lines := "keep A/nothing\x1b[2J\nburst drop \"A/\\u001b[2J\"\nkeep A/IMG\x1b[2J\n"
	for _, args := range [][]string{{"prepare", dir}, {"prepare", dir, "--json"}, {"decide", dir}, {"status", dir}, {"status", dir, "--json"}, {"handoff", dir, "--json"},
		{"handoff", dir}, {"verify", dir, "--json"}, {"verify", dir}, {"clocks", dir}, {"decide", dir, "--dump"}, {"status", "no\x1b[2Jsuch"}, {"\x1b[2J"}} {
		c := garner(args...)
		c.Stdin = strings.NewReader(lines)
		out, _ := c.CombinedOutput()
		for i, b := range out {
			if b < 0x20 && b != '\n' || b == 0x7f {
				t.Errorf("garner %q: byte %#x in %q", args, b, out[max(0, i-30):min(len(out), i+10)])
				break
			}
		}
		if s := string(out); strings.ContainsAny(s, "\u009b\u202e") {
			t.Errorf("garner %q: a mark that turns or starts something in %q", args, s)
		}
	}
}

// TestJSONOfScenesAndReview holds the objects of scenes and status --review against
// their fields.
func TestJSONOfScenesAndReview(t *testing.T) {
	zero := review.Page{Lines: []review.Line{{Kind: review.Open, N: 1, Text: "x", Frames: []cull.ID{"1"}}}, ByScene: []review.Share{{Name: "01"}}}
	o := map[string]any{}
	b, err := json.Marshal(reviewObject(zero))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &o); err != nil {
		t.Fatal(err)
	}
	keys(t, "a review", o, "v", "frames", "kept", "goal", "lines", "by_scene", "by_hour", "by_body")
	keys(t, "a line", o["lines"].([]any)[0], "kind", "n", "on", "text", "frames")
	keys(t, "a share", o["by_scene"].([]any)[0], "name", "kept", "open", "frames", "goal")
	if b, err = json.Marshal(jsonSceneRow{}); err != nil {
		t.Fatal(err)
	}
	row := map[string]any{}
	if err := json.Unmarshal(b, &row); err != nil {
		t.Fatal(err)
	}
	keys(t, "a scene", row, "v", "scene", "named", "first", "frame", "from", "until", "frames", "kept", "open", "bodies")
}
