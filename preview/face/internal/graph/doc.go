// Package graph reads a network from a .tflite file and runs it on one picture.
//
// It knows the operations of two networks, a finder of faces and a mesh of one
// face, and refuses all others: convolutions, activations, sums, products, pools,
// pads, resizing, reshaping, and the mesh's three operations of its own.
//
// # From the file to what runs
//
// flat.go reads the tables of a flatbuffer, model.go makes of them tensors and
// operations as the schema of TensorFlow Lite (version 3) lists them, flex.go reads
// the options of custom operations. node.go gives each operation a meaning, with
// its constants as numbers and its shapes checked; fuse.go joins what can be done in
// one go (a convolution, the sum with what it goes around, the activation);
// arena.go gives the tensors places in one piece of memory, where those that are
// not needed at the same time share one; run.go goes through the steps.
//
// # Security
//
// The bytes of a file are hostile. Reading is bounds-checked and goes forward only;
// the number of tensors and operations, the size of constants (by that of the file),
// of tensors, and the arithmetic of one run have limits, which are checked before
// anything is allocated. A tensor is produced once and before it is used, so that
// there are no loops.
package graph
