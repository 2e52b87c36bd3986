//go:build !amd64 || purego

package entropy

// Path names the code that runs here: "go".
func Path() string { return "go" }

func (r *Reader) decode(s *Strip, to int) { r.decodeGo(s, to) }
