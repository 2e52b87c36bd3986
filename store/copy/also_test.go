package copy_test

import (
	"bytes"
	"context"
	"crypto/sha512"
	"errors"
	"io"
	"syscall"
	"testing"

	"garner/store/copy"
	"garner/store/vfs/vfstest"
)

// A second digest is that of the source, also when the reading had to begin anew
// or when there is nothing to write.
func TestAlso(t *testing.T) {
	data := content(3<<20 + 17)
	want := sha512.Sum512(data)
	for name, arrange := range map[string]func(*vfstest.Mem, *copy.Job){
		"undisturbed": func(*vfstest.Mem, *copy.Job) {},
		"present":     func(m *vfstest.Mem, job *copy.Job) { m.Put(job.Dests[0], data); m.Put(job.Dests[1], data) },
		"read again": func(m *vfstest.Mem, job *copy.Job) {
			m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 3, Err: syscall.EIO})
			job.Again = 1
		},
	} {
		m, job := on(vfstest.Options{}, data)
		job.Also = sha512.New()
		job.Also.Write([]byte("of something else"))
		arrange(m, &job)
		if _, err := copy.File(context.Background(), m, job); err != nil || !bytes.Equal(job.Also.Sum(nil), want[:]) {
			t.Errorf("%s: %v, %x", name, err, job.Also.Sum(nil))
		}
	}
}

func TestReadBackTo(t *testing.T) {
	data := content(2<<20 + 5)
	m, _ := on(vfstest.Options{}, data)
	var b bytes.Buffer
	if _, err := copy.ReadBackTo(context.Background(), m, card, &b); err != nil || !bytes.Equal(b.Bytes(), data) {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
	r, w := io.Pipe()
	r.CloseWithError(io.ErrShortWrite)
	if _, err := copy.ReadBackTo(context.Background(), m, card, w); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("a writer that fails: %v", err)
	}
}
