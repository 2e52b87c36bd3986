package cull

// A raw original whose frame was dropped may be freed once it is archived. What stays
// of it in the job is a small picture: the JPEG that the camera put into it, which
// says itself what it was made of (preview/small). The frame lives on in it, with its
// id, its name, its decisions and the place of its sidecar.

// SmallFolder is the folder of a job in which the small pictures lie.
const SmallFolder = "small"

// SmallPath is where the small picture of an original lies in its job.
func SmallPath(original string) string { return SmallFolder + "/" + original + ".jpg" }

// Origin is the original that a small picture was made of. It need not be there.
type Origin struct {
	Path string // in the job
	Kind string
	Size int64
	Head string // lower-case hex SHA-256 of the first 64 KiB
}

// Original is the path that names, sidecars and voice notes go by: the file's own, or
// that of the original which a small picture stands for.
func (f File) Original() string {
	if f.Of.Path != "" {
		return f.Of.Path
	}
	return f.Path
}

// Content tells what the camera wrote: size and head of the file, or of the original
// which a small picture stands for.
func (f File) Content() (size int64, head string) {
	if f.Of.Path != "" {
		return f.Of.Size, f.Of.Head
	}
	return f.Size, f.Head
}

// Freed reports whether the frame lives on in a small picture, its original being
// freed.
func (f Frame) Freed() bool { return len(f.Files) > 0 && f.Files[0].Role == RoleSmall }
