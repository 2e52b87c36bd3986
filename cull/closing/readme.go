package closing

import (
	_ "embed"
	"path/filepath"
	"strings"

	"garner/cull"
	"garner/store/archive"
)

// readmeName is the file in a bag that tells people what it is.
const readmeName = "README.txt"

//go:embed readme.txt
var readme string

// tags are the tag files beside those of BagIt.
func (r *runner) tags() []archive.Tag {
	text := strings.ReplaceAll(readme, "{job}", shownName(r.job.Root()))
	return []archive.Tag{{Path: readmeName, Content: []byte(text)}}
}

// info are the lines of bag-info.txt (RFC 8493 section 2.2.2).
func (r *runner) info() []archive.Field {
	var info []archive.Field
	if credit := r.job.Settings().Credit; credit != "" {
		info = append(info, archive.Field{Label: "Source-Organization", Value: cull.Plain(credit)})
	}
	info = append(info, archive.Field{Label: "External-Description", Value: "Photographs of one job, with what was decided about them and what was made of them; " + readmeName + " says more"},
		archive.Field{Label: "Internal-Sender-Identifier", Value: shownName(r.job.Root())})
	if last := r.whole.Last; !last.IsZero() {
		info = append(info, archive.Field{Label: "Bagging-Date", Value: last.UTC().Format("2006-01-02")})
	}
	return info
}

func nameInJob(root string) string { return filepath.Base(root) }

// shownName is the job's name as text that nothing stumbles over.
func shownName(root string) string {
	return cull.Plain(strings.ToValidUTF8(nameInJob(root), "\uFFFD"))
}
