// Package face finds faces, tells whether their eyes are open, and describes a face
// so that it can be found again. It runs published networks (see models) in plain
// Go; nothing leaves the machine, and no name is ever inferred.
//
// A template is biometric data. This package makes one only where it is asked to,
// and keeps none.
package face
