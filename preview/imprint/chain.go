package imprint

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
)

// Chain is where a rendition comes from: what xmpMM says of it (ISO 16684-1
// §8.6 and Annex A). A rendition is another document than its original and names
// it; files cut from one input by one set are the same document, whenever that is
// done.
type Chain struct {
	Source [sha256.Size]byte // of the input file's bytes
	Set    string            // what tells this rendition from others of the input, such as a hash of all settings

	// What the input's XMP says; "" where it says nothing: the ids are then made
	// of Source.
	DocumentID, InstanceID, OriginalDocumentID string
}

// ID returns the rendition's xmpMM:DocumentID.
func (c Chain) ID() string {
	return guid("rendition", c.Source[:], []byte(c.Document()), []byte(c.Set))
}

// Document is the DocumentID of the input.
func (c Chain) Document() string {
	if c.DocumentID != "" {
		return c.DocumentID
	}
	return guid("document", c.Source[:])
}

// Instance is the InstanceID of the input, which no other bytes have.
func (c Chain) Instance() string {
	if c.InstanceID != "" {
		return c.InstanceID
	}
	return guid("instance", c.Source[:])
}

// Original is what the first file of the chain is called (Annex A: that of a GIF
// made of a JPEG made of a raw is the DocumentID of the raw).
func (c Chain) Original() string {
	if c.OriginalDocumentID != "" {
		return c.OriginalDocumentID
	}
	return c.Document()
}

// InstanceID makes the id of a file of ours from a sum of its content.
func InstanceID(sum []byte) string { return guid("instance", sum) }

// guid makes an id of a kind from parts. GUIDs have no prescribed form; it is that
// of RFC 9562 version 8, whose bits are the maker's: here of a hash, with nothing
// of the machine or the hour.
func guid(kind string, parts ...[]byte) string {
	h := sha256.New()
	for _, p := range append([][]byte{[]byte("garner " + kind)}, parts...) {
		h.Write(binary.BigEndian.AppendUint64(nil, uint64(len(p))))
		h.Write(p)
	}
	b := h.Sum(nil)[:16]
	b[6], b[8] = b[6]&0x0F|0x80, b[8]&0x3F|0x80
	return fmt.Sprintf("uuid:%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:])
}
