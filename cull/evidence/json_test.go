package evidence

import (
	"encoding/json"
	"math"
	"testing"

	"garner/cull"
)

// Every field with its unit in its name; what is not known is null.
func TestJSONOfMeasures(t *testing.T) {
	s := cull.Sharpness{Energy: 0.0123456789, Edge: 1.5, Blur: 0, Noise: 2.25, Pixels: 240}
	at := cull.Region{X: 0.1, Y: 0.2, W: 0.25, H: 1. / 3}
	m := cull.Measures{
		Focus: cull.Focus{Method: 1, Width: 6000, Height: 4000, Spots: []cull.Spot{{Region: at, By: cull.BySubject, Sharpness: s}, {By: cull.ByTile, Sharpness: s}}},
		Light: cull.Light{Method: 1, Highlights: 0.01, AnyHigh: float64(float32(0.3)), Shadows: math.NaN()},
		Faces: cull.Faces{Method: 1, Width: 6000, Height: 4000, List: []cull.Face{
			{Region: at, Score: 0.9, Presence: 0.99, Eyes: cull.EyesClosed, Opening: 0.06, EyeApart: 88, Sharpness: s, Luma: 0.5, Clipped: 0.2},
			{Region: at, Score: 0.6, Eyes: cull.EyesTooSmall, Opening: 0.06, EyeApart: 8},
		}},
	}
	o, ok := JSONOf(m)
	got, err := json.Marshal(o)
	const region = `"region":{"x_share":0.1,"y_share":0.2,"w_share":0.25,"h_share":0.33333}`
	const sharp = `"sharpness":{"energy":0.012346,"edge_px":1.5,"blur_px":null,"noise_levels":2.25,"side_px":240}`
	want := `{"focus":{"method":"focus-1","width_px":6000,"height_px":4000,"small":false,"spots":[{"by":"subject",` + region + `,` + sharp + `},` +
		`{"by":"tile","region":{"x_share":0,"y_share":0,"w_share":0,"h_share":0},` + sharp + `}]},` +
		`"light":{"method":"light-1","clipped_share":0.01,"clipped_channel_share":0.3,"black_share":0},` +
		`"faces":{"method":"faces-1","width_px":6000,"height_px":4000,"list":[` +
		`{` + region + `,"score":0.9,"presence":0.99,"eyes":"closed or lowered","opening":0.06,"eyes_apart_px":88,` + sharp + `,"luma":0.5,"red_clipped_share":0.2},` +
		`{` + region + `,"score":0.6,"presence":0,"eyes":"too small","opening":null,"eyes_apart_px":8,"sharpness":null,"luma":0,"red_clipped_share":0}]}}`
	if err != nil || !ok || string(got) != want {
		t.Errorf("%v %v\n%s, want\n%s", err, ok, got, want)
	}
	o, ok = JSONOf(cull.Measures{Faces: cull.Faces{Method: 1}})
	got, _ = json.Marshal(o)
	if want := `{"focus":null,"light":null,"faces":{"method":"faces-1","width_px":0,"height_px":0,"list":[]}}`; !ok || string(got) != want {
		t.Errorf("%v %s, want %s", ok, got, want)
	}
	if _, ok := JSONOf(cull.Measures{}); ok {
		t.Error("nothing was measured")
	}
	for e := cull.EyesUnknown; e <= cull.EyesFaceUncertain; e++ {
		if eyesWords[e] == "" {
			t.Errorf("no word for eyes %d", e)
		}
	}
	for _, c := range []struct{ got, want string }{{methodName("focus", cull.FocusMethod), cull.FocusMethodName},
		{methodName("light", cull.LightMethod), cull.LightMethodName}, {methodName("faces", cull.FacesMethod), cull.FacesMethodName}} {
		if c.got != c.want {
			t.Errorf("%s is kept as %s", c.got, c.want)
		}
	}
}
