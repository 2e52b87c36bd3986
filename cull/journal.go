package cull

import (
	"fmt"
	"strconv"
	"strings"
)

// This file writes the text form of the journal: one line an entry,
//
//	keep #0123456789abcdef ; seq=17 at=2026-06-13T12:02:11.130Z who="anna" pass=keep was=open shown=1 explicit=1 sum=1a2b3c4d
//
// The part before the semicolon is a line of decide; the fields after it hold
// what that part cannot say. was, now, shown and explicit speak of the frames
// in their order, and are written once where all frames agree. sum is the
// CRC-32C (Castagnoli) of everything before " sum=", in hexadecimal.

// stampLayout is RFC 3339 in UTC with milliseconds, what Entry.At holds.
const stampLayout = "2006-01-02T15:04:05.000Z"

const sumField = " sum="

// FormatEntry writes an entry as one journal line, without the newline. Such a
// line holds no control or format character whatever the strings hold.
func FormatEntry(e Entry) string {
	var b strings.Builder
	word, named := formatCommand(&b, e)
	fmt.Fprintf(&b, " ; seq=%d at=%s who=%s", e.Seq, e.At.UTC().Format(stampLayout), quote(e.Who))
	if word != e.Verb {
		b.WriteString(" verb=" + quote(string(e.Verb)))
	}
	if e.Pass != "" {
		b.WriteString(" pass=" + bare(e.Pass))
	}
	if e.Of != 0 {
		b.WriteString(" of=" + strconv.FormatUint(e.Of, 10))
	}
	if !named {
		formatAside(&b, e)
	}
	formatLists(&b, e)
	line := b.String()
	return line + sumField + lineSum(line)
}

// formatCommand writes the line of decide. It returns the verb that a reader
// will take from it, and whether the line itself names the frames or, for
// verbs about other things, the arguments.
func formatCommand(b *strings.Builder, e Entry) (word Verb, named bool) {
	switch e.Verb {
	case VerbAnswer, VerbBurst, VerbOnly, VerbMerge:
		if e.Pass != KeepPass && e.Pass != "" {
			b.WriteString(passToken(e.Pass) + " ")
		}
		if e.Verb != VerbAnswer {
			b.WriteString(string(e.Verb))
		}
		if e.Verb == VerbBurst {
			b.WriteByte(' ')
		}
		if e.Verb != VerbOnly && e.Verb != VerbMerge {
			b.WriteString(commonAnswer(e).Word(passOr(e.Pass)))
		}
		for _, c := range e.Changes {
			b.WriteString(" " + formatID(c.Frame))
		}
		return e.Verb, len(e.Args) == 0
	case VerbUndo, VerbRedo:
		b.WriteString(string(e.Verb))
		return e.Verb, false
	}
	word = e.Verb
	if !isReserved(string(word)) || word == "from" || isAnswerWord(string(word)) {
		word = VerbCorrect
	}
	b.WriteString(string(word))
	for i, a := range e.Args {
		// The question of a pass stays quoted, so that a question "from" is none of its source.
		if question := word == VerbPass && i == len(e.Args)-1 && (i == 1 || i == 4); question {
			b.WriteString(" " + quote(a))
		} else {
			b.WriteString(" " + bare(a))
		}
	}
	return word, len(e.Changes) == 0
}

// formatAside writes the frames and arguments that the command had no room for.
func formatAside(b *strings.Builder, e Entry) {
	switch e.Verb {
	case VerbAnswer, VerbBurst, VerbOnly, VerbMerge:
		formatArgs(b, e.Args)
		return
	case VerbUndo, VerbRedo:
		formatArgs(b, e.Args)
	}
	if len(e.Changes) > 0 {
		b.WriteString(" frames=")
		for i, c := range e.Changes {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(formatID(c.Frame))
		}
	}
}

func formatArgs(b *strings.Builder, args []string) {
	for _, a := range args {
		b.WriteString(" arg=" + quote(a))
	}
}
