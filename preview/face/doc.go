// Package face finds faces, tells whether their eyes are open, and describes a face
// so that it can be found again. It runs published networks (see models) in plain
// Go; nothing leaves the machine, and no name is ever inferred.
//
// A template is biometric data. This package makes one only where it is asked to,
// and keeps none.
//
// # How a face is read
//
// Find hands the picture to the detector five times, whole and in four parts that
// overlap (find.go, take.go), reads boxes from what it gives (anchors.go) and makes one
// face of what is seen several times (merge.go). Eyes turns the face upright, gives it
// to the mesh at the detail that the picture has, and again by what the mesh saw
// (eyes.go); the opening of an eye is its height by its width (opening.go). Template
// puts the corners of the eyes and the base of the nose where its network was trained
// to have them (template.go).
//
// # Caveats
//
// In a picture of 1024 pixels on the long edge a face is found from a width of 40
// pixels on, about every other one at 27, and none below 20. A face may be turned in the
// plane of the picture by 30 degrees; at 45 one in eight is missed, at 60 one in four.
// Eyes that look down cannot be told from closed ones, and of a face in profile the mesh
// says that it is none. Faces that kiss may be taken for one.
//
// Templates tell people apart less well than portraits of well-known people would have
// it: of faces side by side in one photograph, four pairs in 36 were nearer than 0.6.
// Family and one light on all faces bring them near each other.
//
// # Security
//
// Weights are compared with their sums before they are read, and what a network gives
// is not trusted: what is no number, lies off the picture or makes no sense is left out
// (FuzzFind, FuzzEyes).
package face
