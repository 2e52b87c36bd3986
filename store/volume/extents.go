package volume

import (
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
)

// extents names the disks in what Windows answers about a volume: a count, and from
// byte 8 for each extent 24 bytes that begin with the disk's number (Microsoft,
// VOLUME_DISK_EXTENTS and DISK_EXTENT).
func extents(answer []byte) string {
	if len(answer) < 8 {
		return ""
	}
	n := binary.LittleEndian.Uint32(answer)
	var disks []string
	for at := answer[8:]; n > 0 && len(at) >= 24; at, n = at[24:], n-1 {
		disks = append(disks, fmt.Sprintf("disk%d", binary.LittleEndian.Uint32(at)))
	}
	slices.Sort(disks)
	return strings.Join(slices.Compact(disks), "+")
}
