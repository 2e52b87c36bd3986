package main

import "strings"

// joinPairs makes one word of the two that follow --same, since a flag takes one:
// a pair of frames is easiest written as two.
func joinPairs(args []string) []string {
	var out []string
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			return append(out, args[i:]...)
		}
		out = append(out, a)
		first, joined := strings.CutPrefix(a, "--same=")
		switch {
		case joined && i+1 < len(args) && isSecond(first, args[i+1]):
			out[len(out)-1] = a + " " + args[i+1]
			i++
		case a == "--same" && i+2 < len(args) && isSecond(args[i+1], args[i+2]):
			out = append(out, args[i+1]+" "+args[i+2])
			i += 2
		}
	}
	return out
}

// isSecond reports whether next is the second frame of a pair of which first is
// not both already.
func isSecond(first, next string) bool {
	return len(strings.Fields(first)) == 1 && next != "" && !strings.HasPrefix(next, "-")
}
