package demo

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"garner/cull/demo/paint"
	"garner/preview/build"
)

// CardsFrames is how many frames of the day the cards hold unless told otherwise,
// and MinCardsFrames how few they can be: fewer don't show every case.
const (
	CardsFrames    = 48
	MinCardsFrames = 16
)

// CardsSummary is what was made, and the truth about it.
type CardsSummary struct {
	Cards    []Card
	Files    []CardFile // of all cards, by card and path; no litter
	Frames   int        // exposures, last week's too
	LastWeek int        // of them
	Today    string     // the day of the wedding, "2026-09-12"
	Before   string     // last week's
	Damaged  CardFile   // the mirrored file of which some sectors are zero
	Missing  CardFile   // the file of body B's slot 1 that did not fit into slot 2
	Bytes    int64
}

// Card is one card: a folder, as if it were mounted there.
type Card struct {
	Dir    string // below the folder given to [MakeCards]
	Body   string // letter
	Slot   int
	What   string // in a few words
	Files  int    // user files
	Bytes  int64
	Litter []string // of operating systems, below Dir
}

// CardFile is the truth about one user file of a card.
type CardFile struct {
	Card     int    // index into CardsSummary.Cards
	Path     string // below the card, "/"-separated
	Exposure string // the press of the shutter that it belongs to, "B 2026-09-12 VRNH0003"; "" = none
	Body     string // letter of the body that made it
	Day      string // "2026-09-12"
	Size     int64
	Sum      string // SHA-256 in hexadecimal digits
	Same     int    // index of the first file with the same bytes; its own where there is none
	Damaged  bool   // some sectors of it are zero, though size, time and both ends are right
}

// MakeCards writes the wedding as four cards, as two bodies of one model would
// have left them, into dir, which must be empty or not exist yet:
//
//	card-1   body A, slot 1: raw, last week's frames in front; its counter passes 9999 and
//	         comes to their names; a voice note, a movie, clips outside of DCIM
//	card-2   body A, slot 2: the JPEG of each of today's raws
//	card-3   body B, slot 1: raw under the names of body A; clips under the names of body A's
//	card-4   body B, slot 2: the same raws again, one of them damaged, one missing
//
// File times are as on FAT. Everything is said of what is in the cards in the
// summary; nothing of it is on them.
func MakeCards(ctx context.Context, dir string, o Options) (CardsSummary, error) {
	if o.Frames == 0 {
		o.Frames = CardsFrames
	}
	if o.Frames < MinCardsFrames || o.Frames > MaxFrames {
		return CardsSummary{}, fmt.Errorf("demo: cards of %d frames are not between %d and %d", o.Frames, MinCardsFrames, MaxFrames)
	}
	if err := emptyDir(dir); err != nil {
		return CardsSummary{}, err
	}
	b := newBatch(dir, o)
	dev := paint.NewDeveloper()
	done := 0
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, m := range b.plan.moments {
		g.Go(func() error {
			return m.shoot(ctx, dev, o.format(), func(s *shot, info build.Shot, pics build.Pictures) error {
				if err := b.store(m, s, info, pics); err != nil {
					return err
				}
				b.mu.Lock()
				defer b.mu.Unlock()
				done++
				if o.Progress != nil {
					o.Progress(done, len(b.plan.shots))
				}
				return nil
			})
		})
	}
	if err := g.Wait(); err != nil {
		return b.sum, err
	}
	if err := b.extras(); err != nil {
		return b.sum, err
	}
	b.settle()
	return b.sum, nil
}

// batch is a set of cards while it is made.
type batch struct {
	dir  string
	plan *plan
	// damaged and missing are the shots whose second raw is so.
	damaged, missing *shot

	mu  sync.Mutex // guards sum and the calls of Progress
	sum CardsSummary
}

// Indexes of the cards.
const (
	rawOfA = iota
	jpegOfA
	rawOfB
	mirrorOfB
)

func newBatch(dir string, o Options) *batch {
	b := &batch{dir: dir, plan: newCardsPlan(o)}
	var ofB []*shot
	for _, m := range b.plan.moments {
		if m.body == bodyB {
			ofB = append(ofB, m.shots...)
		}
	}
	slices.SortFunc(ofB, func(x, y *shot) int { return cmp.Compare(x.number, y.number) })
	b.damaged, b.missing = ofB[len(ofB)/2], ofB[len(ofB)-1]
	b.sum = CardsSummary{
		Frames: len(b.plan.shots), LastWeek: lastWeeks, Today: dayOf(morning), Before: dayOf(weekBefore),
		Cards: []Card{
			{Dir: "card-1", Body: "A", Slot: 1, What: "raw, last week's in front, their names again after number 9999, a movie, clips"},
			{Dir: "card-2", Body: "A", Slot: 2, What: "the JPEG of each of today's raws"},
			{Dir: "card-3", Body: "B", Slot: 1, What: "raw and clips under the names of body A's"},
			{Dir: "card-4", Body: "B", Slot: 2, What: "the same raws, one of them damaged, one missing"},
		},
	}
	return b
}

// store writes a frame's files to the cards of its body.
func (b *batch) store(m *moment, s *shot, info build.Shot, pics build.Pictures) error {
	raw, err := contain("."+s.kind, info, pics)
	if err != nil {
		return err
	}
	p := "DCIM/" + m.dcf(s) + "/" + s.name(m.body)
	f := CardFile{Body: b.plan.bodies[m.body].Letter, Day: dayOf(info.Taken.Wall)}
	f.Exposure = f.Body + " " + f.Day + " " + s.name(m.body)
	f.Path = p + "." + s.kind
	if m.body == bodyA {
		jpeg, err := contain(".JPG", info, pics)
		if err != nil {
			return err
		}
		if err := b.put(rawOfA, f, raw, info.Taken.Wall); err != nil || m.lastWeek() {
			return err
		}
		f.Path = p + ".JPG"
		return b.put(jpegOfA, f, jpeg, info.Taken.Wall)
	}
	if err := b.put(rawOfB, f, raw, info.Taken.Wall); err != nil || s == b.missing {
		return err
	}
	if s == b.damaged {
		f.Damaged = true
		spoil(raw, pics.Full)
	}
	return b.put(mirrorOfB, f, raw, info.Taken.Wall)
}

// spoil zeroes eight sectors in the middle of the large picture of a file, as a
// dying card gives them.
func spoil(file, picture []byte) {
	const sector = 512
	at := strings.Index(string(file), string(picture))
	at = (at + len(picture)/2) / sector * sector
	clear(file[at : at+8*sector])
}

// put writes a file with its time as FAT keeps it, and notes the truth of it.
func (b *batch) put(card int, f CardFile, data []byte, wall time.Time) error {
	h := sha256.Sum256(data)
	f.Card, f.Size, f.Sum = card, int64(len(data)), hex.EncodeToString(h[:])
	if err := b.write(card, f.Path, data, wall); err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.sum.Files = append(b.sum.Files, f)
	return nil
}

func (b *batch) write(card int, p string, data []byte, wall time.Time) error {
	name := filepath.Join(b.dir, b.sum.Cards[card].Dir, filepath.FromSlash(p))
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return put(name, data, build.Clock{Wall: wall.Truncate(2 * time.Second)})
}

// settle brings the truth into its order and counts.
func (b *batch) settle() {
	s := &b.sum
	slices.SortFunc(s.Files, func(x, y CardFile) int { return cmp.Or(cmp.Compare(x.Card, y.Card), cmp.Compare(x.Path, y.Path)) })
	first := map[string]int{}
	for i := range s.Files {
		f := &s.Files[i]
		f.Same = i
		if at, ok := first[f.Sum]; ok {
			f.Same = at
		} else {
			first[f.Sum] = i
		}
		c := &s.Cards[f.Card]
		c.Files++
		c.Bytes += f.Size
		s.Bytes += f.Size
		if f.Damaged {
			s.Damaged = *f
		}
		if f.Card == rawOfB && path.Base(f.Path) == b.missing.name(bodyB)+"."+b.missing.kind {
			s.Missing = *f
		}
	}
}

// dayOf is the day that a time belongs to: it begins at five in the morning.
func dayOf(t time.Time) string { return t.Add(-5 * time.Hour).Format(time.DateOnly) }
