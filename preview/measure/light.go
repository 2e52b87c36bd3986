package measure

import (
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// LightOf measures how much of a picture in sRGB is clipped. A picture of some 1,000
// pixels is enough. It is the camera's rendition: the raw usually has more room.
func LightOf(m *jpeg.Image) pix.Clipping { return pix.Clip(m) }
