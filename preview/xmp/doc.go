// Package xmp reads XMP documents (sidecar files and embedded packets) and
// edits them by splicing: whatever an edit does not name stays byte for byte,
// in its own spelling, order, white space and character encoding.
//
// The serialization is ISO 16684-1 §7 (XMP Specification Part 1): RDF/XML in
// UTF-8, UTF-16 or UTF-32, properties as attributes or elements, spread over any
// number of rdf:Description. Sidecars are Part 3, "External storage of metadata".
//
// # Editing
//
// Setting a property that is there replaces the bytes of its value; setting a
// new one adds an element in the document's own indentation, with a namespace
// declaration on the element itself where none is in scope; removing takes the
// property and the white space before it. Adding and then removing a property
// therefore gives back the original bytes, but that an rdf:RDF written as an
// empty-element tag stays open, and that an array left without items goes with
// its property even if it was there, empty, before. A removal also takes an
// rdf:Description that has no declarations of its own and held nothing else.
//
// # Security
//
// Input is untrusted. A document type declaration is refused, so that there are
// no entities but XML's own; size, nesting and the number of tokens are bounded,
// and memory grows in proportion to the input. Text is returned as it was
// written: control and bidirectional characters are the caller's to escape.
package xmp

// Namespaces of ISO 16684-1 §8 and XMP Part 2.
const (
	NSXMP   = "http://ns.adobe.com/xap/1.0/"
	NSXMPDM = "http://ns.adobe.com/xmp/1.0/DynamicMedia/"
	NSDC    = "http://purl.org/dc/elements/1.1/"
	NSExif  = "http://ns.adobe.com/exif/1.0/" // CIPA DC-010
	NSMeta  = "adobe:ns:meta/"
	// NSPress has, among others, the credit line of IPTC Photo Metadata. What prefix
	// stands for it is free (XMP Part 1, Namespaces).
	NSPress = "http://ns.adobe.com/photoshop/1.0/"
	NSRDF   = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
)

// Reserved namespaces of "Namespaces in XML 1.0", §3.
const (
	nsXML   = "http://www.w3.org/XML/1998/namespace"
	nsXMLNS = "http://www.w3.org/2000/xmlns/"
)

// Limits on input. Sidecars with painted masks reach some megabytes.
const (
	// MaxSize is the largest document in bytes that Parse accepts.
	MaxSize   = 16 << 20
	maxDepth  = 200
	maxTokens = 1 << 20 // elements, attributes and pieces of text
)

// Doc is a parsed document. It is immutable: Apply returns new bytes.
type Doc struct {
	text  string // the whole document as UTF-8, byte order mark included
	enc   encoding
	rdf   *node
	descs []*node // the nodes that describe the resource, in document order
	props map[name][]occurrence
	order []name // keys of props in document order
}

// name is an expanded XML name.
type name struct{ ns, local string }

// Parse reads a document of at most MaxSize bytes. Errors are *FormatError and
// *UnsupportedError.
func Parse(b []byte) (*Doc, error) {
	if len(b) > MaxSize {
		return nil, &UnsupportedError{Offset: MaxSize, Reason: "document is larger than 16 MiB"}
	}
	text, enc, err := decode(b)
	if err != nil {
		return nil, err
	}
	return parseText(text, enc)
}

func parseText(text string, enc encoding) (*Doc, error) {
	root, err := scan(text, enc)
	if err != nil {
		return nil, sourceOffset(err, text, enc)
	}
	d := &Doc{text: text, enc: enc}
	if err := d.index(root); err != nil {
		return nil, sourceOffset(err, text, enc)
	}
	return d, nil
}

// Bytes returns the document as it was read.
func (d *Doc) Bytes() []byte { return d.enc.encode(d.text) }
