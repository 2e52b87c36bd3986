package tui

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull"
	"garner/cull/station"
	"garner/preview/term"
)

// Options are what the model needs to know beside the desk.
type Options struct {
	Keys    map[string][]string // own keys, action → keys
	Notes   []string            // to be said at the beginning
	Picture string              // "" = by what the terminal says, else the name of a term.Mode
	Now     func() time.Time    // nil = time.Now
	Probe   *term.Probe         // nil = the terminal is not asked
	Getenv  func(string) string // nil = an empty environment
	TmpDir  string
	Trace   func(format string, args ...any) // told what happened when; may be nil
	NoColor bool
	// Cell is the size of a cell of the terminal in pixels; 0 = not known. Nil =
	// what the probe says.
	Cell func() (width, height float64)
}

// Screen is the terminal as the model uses it: *term.Screen, or a test's.
type Screen interface {
	Gallery
	Send([]byte)
	SetFence(fence func(uint64) []byte, none bool)
}

// Gallery is where the pictures of a Screen go.
type Gallery interface {
	Show(term.Shot)
	Ahead(build func() []byte)
}

// Model is the whole screen of the station.
type Model struct {
	window
	desk *station.Desk
	keys keymap[*Model]

	at   areas
	view cachedView

	prefix   string // "burst" or "alike": that key was pressed, the next one says what for
	facts    bool
	field    *field      // something is typed
	review   *reviewPage // what may be missing is shown
	reviewed int         // the line of it that was looked at last
	dialog   *dialog
	told     uint64 // number of the last notice that was looked at
	coarsely bool   // it was said that they show little of a tile
}

// ErrInput is returned by Run when nothing can be typed any more: the terminal
// was closed.
var ErrInput = errors.New("the terminal is gone")

// New makes the model of a desk.
func New(d *station.Desk, s Screen, width, height int, o Options) (*Model, error) {
	keys, err := newKeymap(o.Keys, bindings())
	if err != nil {
		return nil, err
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	m := &Model{window: window{o: o, screen: s, width: width, height: height}, desk: d, keys: keys}
	m.dress(term.Caps{})
	m.pictures = newPictures(o, s)
	if d.Notice().Text == "" {
		d.Remark(m.called("help") + " shows the keys")
	}
	for _, note := range o.Notes {
		d.Murmur("%s", note)
	}
	m.fit()
	return m, nil
}

// Init asks for news and starts the clock.
func (m *Model) Init() tea.Cmd {
	return tea.Batch(m.next(), tick(), m.pictures.begin())
}

// Update folds a message in. Whatever it was, the picture follows the desk.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	before := m.dialog
	switch msg := msg.(type) {
	case keyMsg:
		cmd = m.key(term.Key(msg))
	case pasteMsg:
		m.paste(term.Paste(msg))
	case newsMsg:
		cmd = m.news(msg.news)
	case landedMsg:
		m.window.landed(m, term.Landing(msg))
		if msg.State != term.Written {
			m.desk.Fill()
		}
	case timerMsg:
		if msg.what == quietInput {
			m.wakeDialog()
		}
		m.timer(m, msg)
	case tickMsg:
		m.wakeDialog()
		m.desk.Tick()
		cmd = tick()
	default:
		cmd = m.window.update(m, msg)
	}
	if m.dialog != nil && m.dialog != before {
		cmd = tea.Batch(cmd, after(quietAfter, quietInput, 0))
	}
	m.fit()
	cmd = tea.Batch(cmd, m.show(m))
	m.sendAhead()
	return m, cmd
}

// fit divides the screen anew where it has to be.
func (m *Model) fit() {
	h, _ := m.desk.Here()
	at := m.arranged(!m.desk.InFan() && m.desk.HasLadder(h.Frame.ID))
	if at.picture != m.at.picture && m.at.width != 0 {
		m.desk.Redraw()
	}
	m.at = at
	if m.facts {
		m.desk.WantLight()
	}
	if !at.small {
		m.desk.SetEdge(m.pictures.edge(arrange(m.width, m.height, false, false, false).picture.area()))
		m.fitLoupe()
		m.desk.KeepSources(m.pictures.mode == term.Inline) // which passes JPEGs on as they are
		m.fitFan()
	}
}

// news takes in what the desk's work has brought and waits for more.
func (m *Model) news(n station.News) tea.Cmd {
	m.desk.Take(n)
	m.askFaces()
	m.heed()
	if err := m.desk.Broke(); err != nil {
		m.ended = err
		return m.leave()
	}
	return m.next()
}

// heed looks at what the desk has said: what went wrong stops the person, since
// the next key would build on it.
func (m *Model) heed() {
	n := m.desk.Notice()
	if n.Number == m.told {
		return
	}
	m.told = n.Number
	if n.Kind == station.Fault {
		m.open(newDialog(m.o.Now(), "this went wrong", n.Text))
	}
}

// key does what a key asks for.
func (m *Model) key(k term.Key) tea.Cmd {
	press := m.press(k)
	switch {
	case k.Name == "ctrl+c":
		return m.leave()
	case m.dialog != nil:
		m.desk.Do(nil, press)
		return m.dialogKey(k)
	case m.help > 0:
		if !m.desk.Do(nil, press) { // not the key that opened it, held
			m.turnHelp(m, m.keys.of("help").has(k.Name), m.helpPane())
		}
		return nil
	case m.field != nil:
		m.desk.Do(nil, press)
		m.fieldKey(k)
		return nil
	case m.at.small:
		m.desk.Do(nil, press)
		if m.keys.of("leave").has(k.Name) {
			return m.leave()
		}
		return nil
	}
	if m.review != nil {
		m.reviewKey(k, m.desk.Do(nil, press))
		return nil
	}
	i, ok := m.keys.byKey[k.Name]
	if !ok {
		m.desk.Do(nil, press)
		m.unbound(k)
		return nil
	}
	return m.bound(m.keys.table[i], press)
}

// bound does what a binding is for, or says why it cannot.
func (m *Model) bound(b binding[*Model], press station.Press) tea.Cmd {
	if b.why != nil {
		if why := b.why(m); why != "" {
			m.desk.Do(nil, press)
			m.desk.Refuse(why)
			return nil
		}
	}
	after := m.prefix
	if b.do != nil {
		if m.desk.Do(nil, press) {
			return nil // a held key does it once
		}
		m.prefix = ""
		return b.do(m)
	}
	act := b.act(m)
	m.prefix = ""
	if why := m.notAfter(after, b.name); why != "" {
		m.desk.Do(nil, press)
		m.desk.Refuse(why)
		return nil
	}
	m.desk.Do(act, press)
	m.heed()
	return nil
}

// called is what the first key of an action is called.
func (m *Model) called(action string) string { return m.keys.called(action) }

// unbound says that a key does nothing.
func (m *Model) unbound(k term.Key) {
	if m.prefix != "" && k.Name == "esc" {
		if m.prefix == "burst" {
			m.desk.Refuse("the burst stays as it is")
		} else {
			m.desk.Refuse("the look-alikes stay as they are")
		}
		m.prefix = ""
		return
	}
	m.prefix = ""
	if k.Name == "enter" && m.desk.InFan() { // the tile large
		m.desk.CloseFan()
		return
	}
	if k.Name == "esc" {
		switch {
		case m.facts:
			m.facts = false
		case m.desk.InLoupe():
			m.desk.CloseLoupe()
		case m.desk.InFan():
			m.desk.CloseFan()
		default:
			m.desk.ShowAll()
		}
		return
	}
	m.desk.Refuse(fmt.Sprintf("%s does nothing here; %s shows the keys", shown(k.Name), m.called("help")))
}

// paste takes text in where there is a field for it; it never decides.
func (m *Model) paste(p term.Paste) {
	if m.field != nil {
		m.field.insert(p.Text)
		return
	}
	m.desk.Refuse("pasted text decides nothing")
}

// wholeBurst waits for what is to be done to the whole burst. Pressed again, or
// held, it still waits: Esc lets it go.
func (m *Model) wholeBurst() tea.Cmd {
	m.prefix = "burst"
	return nil
}

// wholeSet waits for what is to be done to all that look alike, in the same way.
func (m *Model) wholeSet() tea.Cmd {
	m.prefix = "alike"
	return nil
}

// notAfter says why a key does nothing after one that waits for another; "" = it
// does.
func (m *Model) notAfter(prefix, name string) string {
	switch {
	case prefix == "" || name == "keep" || name == "drop" || prefix == "alike" && name == "fan":
		return ""
	case prefix == "alike":
		return fmt.Sprintf("after %s only %s, %s or %s do something: nothing decided", m.called("alike"), m.called("keep"), m.called("drop"), m.called("fan"))
	}
	return fmt.Sprintf("after %s only %s or %s decide: nothing decided", m.called("burst"), m.called("keep"), m.called("drop"))
}

// unlike says why a key of look-alikes cannot act.
func (m *Model) unlike() string { return m.desk.NoAlikes() }

// noMerge says why nothing can be merged.
func (m *Model) noMerge() string {
	if m.desk.Pass().Name != cull.KeepPass {
		return "merging belongs to the pass " + cull.KeepPass
	}
	return m.alone()
}

// noScene says why no scene can be named.
func (m *Model) noScene() string {
	if _, _, ok := m.desk.SceneHere(); !ok {
		return "there is no frame in a scene"
	}
	return ""
}

// alone says why a burst key cannot act.
func (m *Model) alone() string {
	if _, rungs := m.rungs(); len(rungs) < 2 {
		if m.desk.NoAlikes() == "" {
			return "this frame is a moment of its own; " + m.called("alike") + " before a key is for all that look alike"
		}
		return "this frame is a moment of its own"
	}
	return ""
}

func (m *Model) noPicture() string {
	if m.desk.Shot().Picture == nil {
		return "there is no picture"
	}
	return ""
}

func (m *Model) toggleFacts() tea.Cmd {
	m.facts = !m.facts
	return nil
}

func (m *Model) openHelp() tea.Cmd {
	m.help = 1
	m.desk.Hidden()
	return nil
}
