// Command honest makes a folder of raw files of honest size for measurements:
// copies of one real NEF (test data of the module github.com/evanoberholster/
// imagemeta v0.3.1) with the capture time, sub-second and shutter count patched
// in each, lengthened with zero sensor data. Run it by file name:
//
//	go run .ci/honest/main.go DIR 3000
package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// wholeSize is the size of the camera's own file before its sensor data was cut.
const wholeSize = 28842901

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: honest DIR COUNT")
		os.Exit(2)
	}
	count, err := strconv.Atoi(os.Args[2])
	if err == nil {
		err = fill(os.Args[1], count)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "honest:", err)
		os.Exit(1)
	}
}

func fill(dir string, count int) error {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/evanoberholster/imagemeta").Output()
	if err != nil {
		return err
	}
	nef, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "testImages", "NEF.exif"))
	if err != nil {
		return err
	}
	start := time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)
	for i := range count {
		// Bursts of six at eight frames a second, one burst every twenty seconds.
		at := start.Add(time.Duration(i/6)*20*time.Second + time.Duration(i%6)*125*time.Millisecond)
		if err := patch(nef, at, uint32(1000+i)); err != nil {
			return err
		}
		folder := filepath.Join(dir, "A", fmt.Sprintf("%dHONST", 100+i/999))
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return err
		}
		name := filepath.Join(folder, fmt.Sprintf("HON_%04d.NEF", i%9999+1))
		if err := os.WriteFile(name, nef, 0o644); err != nil {
			return err
		}
		if err := os.Truncate(name, wholeSize); err != nil {
			return err
		}
	}
	return nil
}

// patch writes time, sub-second (tag 0x9291, in place) and shutter count (maker
// note tag 0x00A7) over the old ones.
func patch(nef []byte, at time.Time, counter uint32) error {
	head := nef[:8192]
	date := []byte(at.Format("2006:01:02 15:04:05"))
	old := head[420:439]
	for i := bytes.Index(head, old); i >= 0; i = bytes.Index(head, old) {
		if bytes.Equal(old, date) {
			break
		}
		place := head[i : i+19]
		if &place[0] == &old[0] {
			old = bytes.Clone(old)
		}
		copy(place, date)
	}
	for _, tag := range []byte{0x90, 0x91, 0x92} {
		entry := []byte{tag, 0x92, 2, 0, 3, 0, 0, 0}
		i := bytes.Index(head, entry)
		if i < 0 {
			return fmt.Errorf("no sub-second tag %#x", tag)
		}
		copy(head[i+8:], fmt.Sprintf("%02d\x00", at.Nanosecond()/1e7))
	}
	i := bytes.Index(head, []byte{0xa7, 0, 4, 0, 1, 0, 0, 0})
	if i < 0 {
		return fmt.Errorf("no shutter count")
	}
	binary.LittleEndian.PutUint32(head[i+8:], counter)
	return nil
}
