// Package faces looks for one face in pictures that are described afresh.
//
// A template of a face is biometric data. Those that are made here serve one question:
// they are in memory for as long as they are compared, are overwritten then, and are
// written nowhere. Whoever calls has asked for the consent of those concerned before the
// first is made. It is likeness and not identity: relatives are taken for one another.
package faces
