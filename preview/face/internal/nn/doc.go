// Package nn has the layers of small neural networks, for one picture at a
// time: tensors are float32, in rows, columns and channels (NHWC with N = 1).
// What a layer means is what TensorFlow Lite documents for the operation of that
// name. Convolutions pack their weights once, when they are made; no layer keeps
// anything of a run, so that one may be used by several goroutines.
//
// Every Run and every function writes to a tensor that it is given, makes it fit
// and keeps its memory where it is large enough. A result may lie in the memory of
// its input only where that is said.
//
// # Paths
//
// What costs time exists in plain Go, for AVX2 with FMA and for NEON; which of
// them runs is decided when the program starts (Path). Sums are rounded in another
// order or not at all between steps, so that results agree to 1e-3 of the largest
// magnitude that went into them, not in their bits. The build tag purego leaves
// plain Go alone.
//
// # Hostile input
//
// Sizes that come from a file are checked: constructors and layers return an
// error for shapes that do not fit each other and for tensors of more than
// MaxValues values, and never panic for them.
package nn
