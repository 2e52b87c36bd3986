package station

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"garner/cull"
)

// A key that came too soon decided nothing; what was typed after it in one go must
// not act as if it had: the rest of the moment would be dropped without the frame that
// was to be kept, and undo would take back an older decision.
func TestTypedOnAfterAKeyThatCameTooSoon(t *testing.T) {
	for _, tc := range []struct {
		name    string
		then    Act
		after   time.Duration
		decides bool
	}{
		{"the whole burst at once", Burst{cull.No}, 400 * time.Millisecond, false},
		{"only this one at once", Only{}, 400 * time.Millisecond, false},
		{"a merge at once", Merge{}, 400 * time.Millisecond, false},
		{"the same single key again", Answer{cull.Yes}, 400 * time.Millisecond, true},
		{"the whole burst after a look", Burst{cull.No}, 3 * time.Second, true},
		{"undo", Undo{}, 3 * time.Second, false},
		{"undo much later", Undo{}, 8 * time.Second, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := sit(t, shoot(t, true), Options{})
			p.onBurst()
			p.press(Answer{cull.Yes}) // an older decision, for undo; the next frame has not been drawn
			before := p.desk.session.LastSeq()
			p.now = p.now.Add(time.Second)
			p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
			p.refuses("nothing decided")
			p.look()
			press := func(after time.Duration) bool {
				p.now = p.now.Add(after)
				p.desk.Do(tc.then, Press{Key: fmt.Sprint(p.now), At: p.now})
				p.wait()
				return p.desk.session.LastSeq() != before
			}
			if got := press(tc.after); got != tc.decides {
				t.Fatalf("decided %v, want %v: %s", got, tc.decides, p.desk.Notice().Text)
			}
			if tc.decides {
				return
			}
			if text := p.desk.Notice().Text; !strings.Contains(text, "decided nothing") {
				t.Errorf("it says %q", text)
			}
			if !press(300 * time.Millisecond) {
				t.Errorf("once more it still decides nothing: %s", p.desk.Notice().Text)
			}
		})
	}
}
