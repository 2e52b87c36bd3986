package volume

import "strings"

// host is the server that a network file system's source names: host of host:/srv
// (nfs(5), sshfs) and of //user@host/share, \\host\share (SMB); "" where it names none.
// Two shares of one server may lie on one disk of it, and nobody here can tell.
func host(source string) string {
	slashes := strings.ReplaceAll(source, `\`, "/")
	name := ""
	if share, ok := strings.CutPrefix(slashes, "//"); ok {
		name, _, _ = strings.Cut(share, "/")
	} else if i := strings.Index(slashes, ":/"); i > 0 {
		name = slashes[:i]
	} else if before, ok := strings.CutSuffix(slashes, ":"); ok { // the home folder of sshfs
		name = before
	}
	if i := strings.LastIndexByte(name, '@'); i >= 0 {
		name = name[i+1:]
	}
	return strings.ToLower(name)
}

// pool is the ZFS pool that a dataset, pool/data, takes its room from: all of a
// pool is lost together (zpoolconcepts(7)).
func pool(fsType, source string) string {
	if fsType != "zfs" {
		return ""
	}
	name, _, _ := strings.Cut(source, "/")
	return name
}
