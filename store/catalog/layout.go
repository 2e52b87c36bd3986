package catalog

// Layout is the job in order, packed into one record so that it is read in one
// go.
type Layout struct {
	Places []Place
	Scenes []Scene
}

// Place is where one frame stands.
type Place struct {
	Frame     string
	Moment    int
	Kind      uint8 // of the moment; numbered by whoever stores it
	Series    uint8 // what a series is material for; likewise; 0 = no series, or not known
	Alike     int   // set of look-alikes; 0 = none
	Scene     int
	Corrected Stamp
}

// Scene is a stretch of the job.
type Scene struct {
	ID    int
	Name  string
	First string
}

// layoutAlike is the version of the record from which on places have Series and
// Alike.
const layoutAlike = 2

// encodeLayout writes moments and scenes as steps from the place before, which
// are nearly always 0 or 1.
func encodeLayout(b []byte, r Layout) []byte {
	b = putUint(b, uint64(len(r.Places)))
	moment, scene := 0, 0
	for _, p := range r.Places {
		b = putID(b, p.Frame)
		b = putInt(b, int64(p.Moment-moment))
		b = append(b, p.Kind, p.Series)
		b = putInt(b, int64(p.Alike))
		b = putInt(b, int64(p.Scene-scene))
		b = encodeStamp(b, p.Corrected)
		moment, scene = p.Moment, p.Scene
	}
	b = putUint(b, uint64(len(r.Scenes)))
	for _, s := range r.Scenes {
		b = putInt(b, int64(s.ID))
		b = putString(b, s.Name)
		b = putID(b, s.First)
	}
	return b
}

func decodeLayout(c *cursor) Layout {
	var r Layout
	moment, scene := 0, 0
	n := c.count(8)
	if n > 0 {
		r.Places = make([]Place, n)
	}
	for i := range r.Places {
		p := &r.Places[i]
		p.Frame = c.id()
		moment += c.small()
		p.Kind = c.byte()
		if c.version >= layoutAlike {
			p.Series, p.Alike = c.byte(), c.small()
		}
		scene += c.small()
		p.Moment, p.Scene = moment, scene
		p.Corrected = decodeStamp(c)
		if c.err != nil {
			return Layout{}
		}
	}
	r.Scenes = list(c, 3, func(c *cursor) Scene {
		return Scene{ID: c.small(), Name: c.string(), First: c.id()}
	})
	return r
}
