package xmp

import "strings"

// Namespace is a namespace and the prefix to declare for it.
type Namespace struct{ URI, Prefix string }

// New returns an empty document in the form of a sidecar file: the XML
// declaration first, then x:xmpmeta (XMP Part 3, "External storage of
// metadata"; ISO 16684-1 §7.3.3), with one rdf:Description that declares the
// namespaces.
func New(declare ...Namespace) (*Doc, error) {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<x:xmpmeta xmlns:x="` + NSMeta + `">
 <rdf:RDF xmlns:rdf="` + NSRDF + `">
  <rdf:Description rdf:about=""`)
	for _, ns := range declare {
		b.WriteString("\n    xmlns:" + ns.Prefix + `="` + escapeAttr(ns.URI, '"') + `"`)
	}
	b.WriteString(`>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
`)
	return Parse([]byte(b.String()))
}
