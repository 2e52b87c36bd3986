package prepare

import (
	"context"
	"math/bits"

	"garner/cull"
	"garner/cull/job"
	"garner/preview"
	"garner/preview/cache"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Known takes over pictures that were made of the same frames elsewhere, such as those of
// an archived job, so that a Run need not make them again.
type Known struct {
	cache    *cache.Cache
	decoders preview.Decoders
}

// OpenKnown opens the cache of a job to put pictures into it.
func OpenKnown(j *job.Job) *Known {
	limit := int64(cache.MaxDisk)
	if free, err := j.FreeSpace(); err == nil {
		limit = cache.Limit(free)
	}
	return &Known{cache: cache.Open(j.CacheDir(), cache.Options{MaxDisk: limit})}
}

// Close lets go of the cache.
func (k *Known) Close() error { return k.cache.Close() }

// Thumb keeps an upright thumbnail of a frame. It is believed if it decodes to its last
// row at the size of one, and looks as the frame is said to look: what somebody else made
// may be anything. False means that a Run makes one.
func (k *Known) Thumb(ctx context.Context, f cull.Frame, look cull.Look, data []byte) bool {
	key, ok := ThumbKey(f)
	if !ok || look.Method != pix.LookMethod || k.cache.HasThumb(key) {
		return false
	}
	m, err := k.decoders.Decode(data, jpeg.Options{Stop: ctx.Done()})
	if err != nil || m.Truncated || max(m.Width, m.Height) > pix.ThumbEdge {
		return false
	}
	is, err := pix.Look(m)
	if err != nil || !alike(cull.Look(is), look) {
		return false
	}
	return k.cache.PutThumb(key, data) == nil
}

// maxDiffer is how many of the 64 bits of a hash differ on average between a picture and
// the JPEG that was made of it, at most; between two pictures it is about 32.
const maxDiffer = 8

func alike(a, b cull.Look) bool {
	n := 0
	for i := range a.Parts {
		n += bits.OnesCount64(a.Parts[i] ^ b.Parts[i])
	}
	return n <= maxDiffer*len(a.Parts)
}

// DetailSize is the upright size in pixels of the JPEG of a frame that Detail opens first;
// 0 by 0 if there is none.
func DetailSize(f cull.Frame) (width, height int) {
	from := closest(f)
	if len(from) == 0 {
		return 0, 0
	}
	p, _ := preview.Best(from[0].previews, 0)
	if pix.Turned(f.Shot.Orientation) {
		return p.Height, p.Width
	}
	return p.Width, p.Height
}
