package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestErrorSaysPathAndOperationOnce(t *testing.T) {
	cases := []struct {
		name string
		err  error
		want string
	}{
		{"path error", Wrap("read", "A/x.CR3", &fs.PathError{Op: "open", Path: "/card/A/x.CR3", Err: syscall.EACCES}), "read A/x.CR3: " + syscall.EACCES.Error()},
		{"link error", Wrap("rename", "a", &os.LinkError{Op: "rename", Old: "b", New: "a", Err: syscall.EXDEV}), "rename a: " + syscall.EXDEV.Error()},
		{"nested", Wrap("sync", "a", &fs.PathError{Op: "sync", Path: "a", Err: os.NewSyscallError("fsync", syscall.EIO)}), "sync a: " + syscall.EIO.Error()},
		{"offset", WrapAt("read", "a", 4096, syscall.EIO), "read a at byte 4096: " + syscall.EIO.Error()},
		{"offset zero", WrapAt("read", "a", 0, syscall.EIO), "read a at byte 0: " + syscall.EIO.Error()},
		{"ours stays", Wrap("copy", "outer", Wrap("write", "inner", syscall.ENOSPC)), "write inner: " + syscall.ENOSPC.Error()},
	}
	for _, c := range cases {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	if Wrap("read", "a", nil) != nil {
		t.Error("wrapping no error made one")
	}
	if err := Wrap("write", "a", ErrDiffers); !errors.Is(err, ErrDiffers) {
		t.Error("the reason got lost")
	}
}

func TestClass(t *testing.T) {
	_, missing := os.Open(filepath.Join(t.TempDir(), "nothing"))
	taken := os.Mkdir(t.TempDir(), 0o777)
	cases := []struct {
		name string
		err  error
		want Failure
	}{
		{"nil", nil, Unclassified},
		{"unknown", errors.New("odd"), Unclassified},
		{"the system's own missing", missing, Missing},
		{"the system's own exists", taken, Exists},
		{"full", Wrap("write", "a", syscall.ENOSPC), NoSpace},
		{"quota", Wrap("write", "a", syscall.EDQUOT), NoSpace},
		{"gone", Wrap("read", "a", syscall.ENODEV), DeviceGone},
		{"gone twice wrapped", fmt.Errorf("card: %w", Wrap("read", "a", syscall.ENXIO)), DeviceGone},
		{"stale handle", syscall.ESTALE, DeviceGone},
		{"read-only", Wrap("create", "a", syscall.EROFS), Permission},
		{"denied", Wrap("create", "a", syscall.EACCES), Permission},
		{"unreadable", WrapAt("read", "a", 7, syscall.EIO), ReadError},
		{"unwritable", Wrap("write", "a", syscall.EIO), WriteError},
		{"unsyncable", Wrap("sync", "a", syscall.EIO), WriteError},
		{"unwritable, from the library", &fs.PathError{Op: "write", Path: "a", Err: syscall.EIO}, WriteError},
		{"bare EIO", syscall.EIO, ReadError},
		{"cut short", Wrap("read", "a", ErrCutShort), ReadError},
		{"4 GiB on FAT", Wrap("write", "a", syscall.EFBIG), TooLarge},
		{"long name", Wrap("create", "a", syscall.ENAMETOOLONG), BadName},
		{"colon on FAT", Wrap("create", "a:b", syscall.EINVAL), BadName},
		{"invalid for another reason", Wrap("write", "a", syscall.EINVAL), Unclassified},
		{"busy", Wrap("create", "a", syscall.EBUSY), Busy},
		{"differs", Wrap("create", "a", ErrDiffers), Differs},
		{"changed", Wrap("read", "a", ErrChanged), Changed},
		{"mismatch", Wrap("read back", "a", ErrMismatch), Mismatch},
		{"network", Wrap("open", "a", ErrNetwork), Network},
		{"cancelled", fmt.Errorf("stopped: %w", context.Canceled), Stopped},
		{"joined", errors.Join(Wrap("write", "a", syscall.ENOSPC), errors.New("odd")), NoSpace},
		{"finding before system", errors.Join(ErrChanged, syscall.EIO), Changed},
	}
	for _, c := range cases {
		if got := Class(c.err); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestEveryFailureHasWords(t *testing.T) {
	seen := map[string]bool{}
	for f := Unclassified; f <= Stopped; f++ {
		s := f.String()
		if s == "" || s != strings.ToLower(s) || seen[s] {
			t.Errorf("failure %d reads %q", f, s)
		}
		seen[s] = true
	}
	if len(failureNames) != int(Stopped)+1 {
		t.Errorf("%d names for %d failures", len(failureNames), Stopped+1)
	}
	if Failure(200).String() != "failed" {
		t.Error("an unknown failure has no word")
	}
}

func TestRetryable(t *testing.T) {
	for f, want := range map[Failure]bool{DeviceGone: true, ReadError: true, Changed: true, Busy: true, NoSpace: false, Permission: false, Differs: false, TooLarge: false} {
		if f.Retryable() != want {
			t.Errorf("%v retryable: %v, want %v", f, !want, want)
		}
	}
}
