package raw

import "fmt"

// The codes of all problems. Other programs may rely on them: they are added to,
// never renamed.
const (
	ProblemNoPreview    = "no-preview"       // the file holds no whole embedded JPEG
	ProblemCutOff       = "preview-cut-off"  // a declared JPEG reaches past the end of the file
	ProblemNotJPEG      = "preview-not-jpeg" // what is declared to be a JPEG is none
	ProblemBadPlace     = "bad-offset"       // a directory or value lies outside the file
	ProblemLoop         = "ifd-loop"         // a directory leads back to one already read
	ProblemBadCount     = "bad-count"        // a count of entries or values that cannot be
	ProblemTooMuch      = "too-many-entries" // more directories or entries than any camera writes
	ProblemReadLimit    = "read-limit"       // MaxReads or MaxBytes was used up before the end
	ProblemReadError    = "read-error"       // the device failed on a part of the file
	ProblemNoTime       = "no-time"          // no capture time, or one that cannot be
	ProblemBadContainer = "bad-container"    // the container's own structure is damaged
)

// maxProblems bounds what a hostile file can make Locate list.
const maxProblems = 32

// problem lists a fault; the same one is listed once. What is told of the file as
// a whole comes last and is listed however many came before.
func (s *scan) problem(code, format string, args ...any) {
	p := Problem{Code: code, Text: fmt.Sprintf(format, args...)}
	if len(s.out.Problems) >= maxProblems && code != ProblemNoPreview && code != ProblemNoTime {
		return
	}
	for _, q := range s.out.Problems {
		if q == p {
			return
		}
	}
	s.out.Problems = append(s.out.Problems, p)
}
