//go:build purego || !(amd64 || arm64)

package lanes

// vectorBuild says whether vector code was built in at all.
const vectorBuild = false
