package job

import (
	"testing"

	"garner/cull"
)

// Two preparations at the same time may both give a new body the same letter.
// The one in the journal first has it; the other body is given the next one
// later. A letter that was given never moves.
func TestALetterBelongsToOneBody(t *testing.T) {
	bodies := map[string]cull.Body{}
	for _, e := range []cull.Entry{Letter("one", "A"), Letter("two", "A"), Letter("two", "B"), Letter("three", "B")} {
		correctBody(bodies, e)
	}
	if bodies["one"].Letter != "A" || bodies["two"].Letter != "B" || bodies["three"].Letter != "" {
		t.Errorf("%+v", bodies)
	}
}
func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 1: "B", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letter(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}
