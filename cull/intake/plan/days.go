package plan

import (
	"time"

	"garner/cull/scan"
)

// dayBegins is when a day begins on a body's clock: a wedding's last dance belongs
// to its first kiss.
const dayBegins = 5 * time.Hour

func dayOf(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Add(-dayBegins).Format("2006-01-02")
}

// dayOfFile is the day a file was taken on: by itself, else by the picture that it
// belongs to, else by the time of the file.
func dayOfFile(f *file, picture *scan.Exposure) string {
	for _, e := range []*scan.Exposure{f.shot, picture, &f.src.Shot} {
		if e != nil && e.Taken.Known() {
			return dayOf(e.Taken.Wall)
		}
	}
	return dayOf(f.src.Mod)
}
