package job

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

func TestReadSets(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		name, text string
		want       map[string]SetSettings
		typos      []string
		err        string
	}{
		{"sets", "[sets.online]\nlong_edge = 1600\nstamp = false\nkeep = [\"GPS\"]\n[sets.album]\nexact = [3000, 2400]\ncrop = true\nspace = \"adobe rgb\"\nsharpen = 1\nname = \"{number}-{name}\"\n",
			map[string]SetSettings{"online": {LongEdge: ptr(1600), Stamp: ptr(false), Keep: []string{"GPS"}},
				"album": {Exact: &Dimensions{W: 3000, H: 2400}, Crop: ptr(true), Space: ptr("adobe rgb"), Sharpen: ptr(1.0), Name: ptr("{number}-{name}")}}, nil, ""},
		{"a typo", "[sets.online]\nquality = 80\n  qualtiy = 70\n", map[string]SetSettings{"online": {Quality: ptr(80)}},
			[]string{"garner.toml: line 3, column 3: sets.online.qualtiy is no setting; quality may be meant"}, ""},
		{"a typo of the stamp", "[stamp]\nopasity = 0.5\n", nil, []string{"garner.toml: line 2, column 1: stamp.opasity is no setting; opacity may be meant"}, ""},
		{"what is near nothing", "[sets.a]\nzzzzz = 1\n", map[string]SetSettings{"a": {}}, []string{"garner.toml: line 2, column 1: sets.a.zzzzz is no setting"}, ""},
		{"quality", "[sets.a]\n\nquality = 101\n", nil, nil, "garner.toml: line 3, column 11: quality is 101: it must be 1 to 100"},
		{"inline", "sets = {a = {ppi = 300, quality = 0}}\n", nil, nil, "garner.toml: line 1, column 35: quality is 0: it must be 1 to 100"},
		{"dotted", "[sets]\na.chroma = \"haf\"\n", nil, nil, `garner.toml: line 2, column 12: chroma is "haf": there are full, half; half may be meant`},
		{"space", "[sets.a]\nspace = \"sRBG\"\n", nil, nil, `garner.toml: line 2, column 9: space is "sRBG": there are sRGB, Display P3, Adobe RGB; sRGB may be meant`},
		{"two sizes", "goal = 1\n[sets.a]\nlong_edge = 1\nfit = [1, 1]\n", nil, nil, "garner.toml: line 2, column 2: a set has one size: long_edge, fit or exact"},
		{"one number", "[sets.a]\nfit = [3840]\n", nil, nil, "garner.toml: line 2, column 1: fit must be two numbers of pixels, as in fit = [3840, 2160], or paper, as in fit = \"10x15 cm\", \"8x10 in\" or \"A4\""},
		{"paper", "[sets.a]\nexact = \"10x15 cm\"\n[sets.b]\nfit = \"8.5 × 11 IN\"\n[sets.c]\nexact = \"a4\"\n[sets.d]\nfit = '8x10\"'\n[sets.e]\nexact = \"100x148mm\"\n",
			map[string]SetSettings{"a": {Exact: &Dimensions{100, 150, Millimetres}}, "b": {Fit: &Dimensions{8.5, 11, Inches}}, "c": {Exact: &Dimensions{210, 297, Millimetres}},
				"d": {Fit: &Dimensions{8, 10, Inches}}, "e": {Exact: &Dimensions{100, 148, Millimetres}}}, nil, ""},
		{"paper without a unit", "[sets.a]\nquality = 3\nexact = \"10x15\"\n", nil, nil, "garner.toml: line 3, column 9: exact must be two numbers of pixels, as in exact = [3840, 2160], or paper, as in exact = \"10x15 cm\", \"8x10 in\" or \"A4\""},
		{"paper of one side", "[sets.a]\nexact = \"10 cm\"\n", nil, nil, "garner.toml: line 2, column 9: exact must be"},
		{"paper of no side", "[sets.a]\nexact = \"0x15 cm\"\n", nil, nil, "garner.toml: line 2, column 9: exact must be"},
		{"paper like a house", "[sets.a]\nexact = \"10000x15000 cm\"\n", nil, nil, "garner.toml: line 2, column 9: exact must be"},
		{"a number for a size", "[sets.a]\nfit = 3840\n", nil, nil, "garner.toml: line 2, column 7: fit must be"},
		{"a share for a size", "[sets.a]\nfit = [0.5, 0.5]\n", nil, nil, "garner.toml: line 2, column 1: fit must be"},
		{"paper in a line", "sets = {a = {exact = \"10x15\"}}\n", nil, nil, "garner.toml: line 1, column 22: exact must be"},

		{"a text for a number", "[sets.a]\nquality = \"best\"\n", nil, nil, "garner.toml: line 2, column 11: quality must be a whole number, without quotes"},
		{"a number for a text", "[sets.a]\nspace = 3\n", nil, nil, "garner.toml: line 2, column 9: space must be a text in quotes"},
		{"a text for a list", "[sets.a]\nexact = \"A4\"\ncrop_at = \"top\"\n", nil, nil, `garner.toml: line 3, column 11: crop_at must be a list of texts in quotes, as in crop_at = ["top"]`},
		{"a text for yes", "[sets.a]\nskip = \"true\"\n", nil, nil, "garner.toml: line 2, column 8: skip must be true or false, without quotes"},
		{"a text for a share", "[stamp]\nsize = \"3%\"\n", nil, nil, "garner.toml: line 2, column 8: size must be a number, without quotes"},
		{"a table meant for stamp", "goal = 3\n[stamps]\ntext = \"Berg\"\n", nil, []string{"garner.toml: line 2, column 2: stamps is no setting; stamp may be meant"}, ""},
		{"a table meant for sets", "[set.album]\nlong_edge = 3\n", nil, []string{"garner.toml: line 1, column 2: set.album is no setting; sets may be meant"}, ""},
		{"no table", "sets = 3\n", nil, nil, "garner.toml: line 1, column 8: " + setsForm},
		{"a folder elsewhere", "[sets.\"../x\"]\nquality = 5\n", nil, nil, "garner.toml: line 1, column 2: the name of a set is that of its folder: letters, digits, blanks, - and _, as in [sets.album]"},
		{"one folder twice", "[sets.Lab]\n[sets.lab]\n", nil, nil, "garner.toml: line 2, column 2: the set lab is there twice"},
		{"a field that is none", "[sets.a]\nname = \"{nubmer}-x\"\n", nil, nil, `garner.toml: line 2, column 8: name holds {nubmer}: there are {name}, {number}, {date}, {time}, {frame}, {scene}, {body}, {set}; number may be meant`},
		{"a brace", "[sets.a]\nname = \"a}\"\n", nil, nil, `garner.toml: line 2, column 8: name holds }: there are {name}, {number}, {date}, {time}, {frame}, {scene}, {body}, {set}`},
		{"proofs", "[sets.Proofs]\nskip = false\ntitle = \"Anna & Jørgen\"\nnote = \"\"\"\nThank you.\n\tPlease choose.\"\"\"\npaper = [\"Letter\"]\ncolumns = 5\nlong_edge = 1200\n",
			map[string]SetSettings{"Proofs": {Skip: ptr(false), Title: ptr("Anna & Jørgen"), Note: ptr("Thank you.\n\tPlease choose."), Paper: []string{"Letter"}, Columns: ptr(5), LongEdge: ptr(1200)}}, nil, ""},
		{"a key of proofs in another set", "[sets.a]\nquality = 90\ntitle = \"x\"\n", nil, nil, "garner.toml: line 3, column 9: title is a setting of [sets.proofs] alone"},
		{"a key of other sets in proofs", "[sets.proofs]\nfit = [1, 2]\n", nil, nil,
			"garner.toml: line 2, column 1: fit is no setting of proofs: there are skip, long_edge, quality, chroma, sharpen, sharpen_radius, sharpen_threshold, stamp, title, note, paper, columns, rows"},
		{"paper", "[sets.proofs]\npaper = [\"a4\", \"leter\"]\n", nil, nil, `garner.toml: line 2, column 1: paper is "leter": there are a4, letter, none; letter may be meant`},
		{"paper and none", "[sets.proofs]\npaper = [\"none\", \"a4\"]\n", nil, nil, "garner.toml: line 2, column 1: paper is none, or of a size, not both"},
		{"rows", "[sets.proofs]\nrows = 17\n", nil, nil, "garner.toml: line 2, column 8: rows is 17: it must be 1 to 16"},
		{"a typo of proofs", "[sets.proofs]\ncolums = 3\n", map[string]SetSettings{"proofs": {}}, []string{"garner.toml: line 2, column 1: sets.proofs.colums is no setting; columns may be meant"}, ""},
		{"a note of signs", "[sets.proofs]\nnote = \"a\\u202Eb\"\n", nil, nil, "garner.toml: line 2, column 8: note holds characters that can't be shown"},
		{"a corner", "[stamp]\ncorner = \"botom-right\"\n", nil, nil, `garner.toml: line 2, column 10: corner is "botom-right": there are bottom-right, bottom-left, top-right, top-left, bottom, top, centre; bottom-right may be meant`},
		{"a stamp of everything", "[stamp]\nsize = 1.5\n", nil, nil, "garner.toml: line 2, column 8: size is 1.5: it is a share of 1, as in size = 0.03"},
		{"a number that is none", "[sets.a]\nsharpen = nan\n", nil, nil, "garner.toml: line 2, column 11: sharpen is NaN: it must be 0 to 20"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := os.WriteFile(filepath.Join(dir, "garner.toml"), []byte(c.text), 0o666); err != nil {
				t.Fatal(err)
			}
			got, err := ReadSettings(dir)
			if (err == nil) != (c.err == "") || err != nil && err.Error() != c.err && (!strings.HasSuffix(c.err, " must be") || !strings.HasPrefix(err.Error(), c.err)) {
				t.Fatalf("error %v\nwanted %s", err, c.err)
			}
			if err == nil && (!reflect.DeepEqual(got.Sets, c.want) || !reflect.DeepEqual(got.Typos, c.typos)) {
				t.Errorf("%#v\n%q", got.Sets, got.Typos)
			}
		})
	}
}

// The job's keys go over the studio's one by one, a size of one kind over that of
// another.
func TestSetsOverThoseOfTheStudio(t *testing.T) {
	own := Settings{Sets: map[string]SetSettings{"a": {Fit: &Dimensions{W: 9, H: 9}}, "b": {PPI: ptr(72)}}, Stamp: StampSettings{Picture: ptr("/x.png")}}
	studio := Settings{Sets: map[string]SetSettings{"a": {LongEdge: ptr(5), Quality: ptr(70)}, "c": {}}, Stamp: StampSettings{Text: ptr("Berg"), Size: ptr(0.05)}}
	got := own.Over(studio)
	want := map[string]SetSettings{"a": {Fit: &Dimensions{W: 9, H: 9}, Quality: ptr(70)}, "b": {PPI: ptr(72)}, "c": {}}
	if !reflect.DeepEqual(got.Sets, want) {
		t.Errorf("%#v", got.Sets)
	}
	if !reflect.DeepEqual(got.Stamp, StampSettings{Picture: ptr("/x.png"), Size: ptr(0.05)}) {
		t.Errorf("%#v", got.Stamp)
	}
	if studio.Sets["a"].LongEdge == nil {
		t.Error("the studio's own was changed")
	}
}

// Files of a stamp lie where the settings do.
func TestStampFiles(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "garner.toml"), []byte("[stamp]\npicture = \"logo/berg.png\"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	s, err := ReadSettings(dir)
	if err != nil || s.Stamp.Picture == nil || *s.Stamp.Picture != filepath.Join(dir, "logo", "berg.png") {
		t.Errorf("%+v, %v", s.Stamp, err)
	}
}
