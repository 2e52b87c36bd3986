package job

import "garner/store/vfs"

// FreeSpace returns how many bytes can still be written where the job keeps its
// state and its cache.
func (j *Job) FreeSpace() (int64, error) { return vfs.OS{}.FreeSpace(j.state) }
