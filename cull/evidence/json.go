package evidence

import (
	"math"
	"strconv"

	"garner/cull"
)

// The JSON of measurements, as `prepare --json` and keeps.json carry it. Units stand in
// the names: _px are pixels of the embedded JPEG that was measured, upright; _share are
// shares of the whole, 0..1; _levels are code values of 0..255; what has none is of no
// unit. What was not measured is null.

// JSON is what was measured of one frame.
type JSON struct {
	Focus *jsonFocus `json:"focus"`
	Light *jsonLight `json:"light"`
	Faces *jsonFaces `json:"faces"` // null = nobody looked for them
}

type jsonRegion struct {
	X float64 `json:"x_share"`
	Y float64 `json:"y_share"`
	W float64 `json:"w_share"`
	H float64 `json:"h_share"`
}

type jsonSharpness struct {
	Energy float64  `json:"energy"`
	Edge   *float64 `json:"edge_px"` // null = there is no edge
	Blur   *float64 `json:"blur_px"`
	Noise  float64  `json:"noise_levels"`
	Side   int      `json:"side_px"`
}

type jsonSpot struct {
	By        string        `json:"by"` // subject, tile
	Region    jsonRegion    `json:"region"`
	Sharpness jsonSharpness `json:"sharpness"`
}

type jsonFocus struct {
	Method string     `json:"method"`
	Width  int        `json:"width_px"`
	Height int        `json:"height_px"`
	Small  bool       `json:"small"` // the JPEG is too small to judge focus by
	Spots  []jsonSpot `json:"spots"`
}

type jsonLight struct {
	Method     string  `json:"method"`
	Highlights float64 `json:"clipped_share"`
	AnyHigh    float64 `json:"clipped_channel_share"`
	Shadows    float64 `json:"black_share"`
}

type jsonFace struct {
	Region    jsonRegion     `json:"region"`
	Score     float64        `json:"score"`
	Presence  float64        `json:"presence"`
	Eyes      string         `json:"eyes"`
	Opening   *float64       `json:"opening"` // lid opening by eye width, of the narrower eye; null = nothing is said of the eyes
	Apart     float64        `json:"eyes_apart_px"`
	Sharpness *jsonSharpness `json:"sharpness"`
	Luma      float64        `json:"luma"` // coded, 0..1
	Clipped   float64        `json:"red_clipped_share"`
}

type jsonFaces struct {
	Method string     `json:"method"`
	Width  int        `json:"width_px"`
	Height int        `json:"height_px"`
	List   []jsonFace `json:"list"` // the largest first
}

// eyesWords are the states of eyes in JSON.
var eyesWords = map[cull.Eyes]string{
	cull.EyesOpen: "open", cull.EyesCheck: "check", cull.EyesClosed: "closed or lowered", cull.EyesTooSmall: "too small", cull.EyesInProfile: "in profile",
	cull.EyesFaceUncertain: "uncertain", cull.EyesUnknown: "unknown",
}

// JSONOf is the JSON of what was measured of a frame; false if nothing was.
func JSONOf(m cull.Measures) (JSON, bool) {
	var o JSON
	if f := m.Focus; f.Known() {
		o.Focus = &jsonFocus{methodName("focus", f.Method), f.Width, f.Height, f.Small, make([]jsonSpot, 0, len(f.Spots))}
		for _, s := range f.Spots {
			by := "tile"
			if s.By == cull.BySubject {
				by = "subject"
			}
			o.Focus.Spots = append(o.Focus.Spots, jsonSpot{by, regionOf(s.Region), sharpnessOf(s.Sharpness)})
		}
	}
	if l := m.Light; l.Known() {
		o.Light = &jsonLight{methodName("light", l.Method), digits(l.Highlights), digits(l.AnyHigh), digits(l.Shadows)}
	}
	if f := m.Faces; f.Known() {
		o.Faces = &jsonFaces{methodName("faces", f.Method), f.Width, f.Height, make([]jsonFace, 0, len(f.List))}
		for _, c := range f.List {
			o.Faces.List = append(o.Faces.List, faceOf(c))
		}
	}
	return o, o.Focus != nil || o.Light != nil || o.Faces != nil
}

func faceOf(c cull.Face) jsonFace {
	f := jsonFace{Region: regionOf(c.Region), Score: digits(c.Score), Presence: digits(c.Presence), Eyes: eyesWords[c.Eyes],
		Apart: digits(c.EyeApart), Luma: digits(c.Luma), Clipped: digits(c.Clipped)}
	if told(c) {
		opening := digits(c.Opening)
		f.Opening = &opening
	}
	if c.Sharpness.Known() {
		s := sharpnessOf(c.Sharpness)
		f.Sharpness = &s
	}
	return f
}

func regionOf(r cull.Region) jsonRegion {
	return jsonRegion{digits(r.X), digits(r.Y), digits(r.W), digits(r.H)}
}

func sharpnessOf(s cull.Sharpness) jsonSharpness {
	o := jsonSharpness{Energy: digits(s.Energy), Noise: digits(s.Noise), Side: s.Pixels}
	if s.Edge > 0 {
		edge := digits(s.Edge)
		o.Edge = &edge
	}
	if s.Blur > 0 {
		blur := digits(s.Blur)
		o.Blur = &blur
	}
	return o
}

func methodName(kind string, method uint8) string { return kind + "-" + strconv.Itoa(int(method)) }

// digits keeps five significant digits: more was not measured. JSON has no word for
// what is no number; that is 0.
func digits(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 5, 64), 64)
	return short
}
