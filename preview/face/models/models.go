package models

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"io"
)

// file is one set of weights: as it is built in and what it has to be unpacked.
type file struct {
	name   string
	size   int
	sha256 string
}

var (
	detector = file{"face_detection_full_range.tflite", 1083984,
		"99bf9494d84f50acc6617d89873f71bf6635a841ea699c17cb3377f9507cfec3"}
	mesh = file{"face_landmark_with_attention.tflite", 2495952,
		"883b7411747bac657c30c462d305d312e9dec6adbf8b85e2f5d8d722fca9455d"}
	likeness = file{"face_recognition_model.bin", 6444032,
		"b413e420d6840b2775fba32008db6f3cddb07d485967fb42cfcf379c16a8c589"}
	manifest = file{"face_recognition_model-weights_manifest.json", 19615,
		"cbaffa501b0b9275a12b63357a6843e7e30c054e1c9151e1a5f879b26e32986b"}
)

//go:embed face_detection_full_range.tflite.gz
var detectorPacked []byte

//go:embed face_landmark_with_attention.tflite.gz
var meshPacked []byte

//go:embed face_recognition_model.bin.gz
var likenessPacked []byte

//go:embed face_recognition_model-weights_manifest.json.gz
var manifestPacked []byte

// Detector returns the network that finds faces: a .tflite file, 192x192 RGB to
// 2,304 boxes. It is unpacked anew by every call, as are the others: whoever needs
// it keeps what was made of it and lets the bytes go.
func Detector() ([]byte, error) { return detector.unpack(detectorPacked) }

// Mesh returns the network of the points of one face, with eyes and lips looked at
// closely: a .tflite file, 192x192 RGB to 468 points, 71 for each eye, 80 for the lips.
func Mesh() ([]byte, error) { return mesh.unpack(meshPacked) }

// Likeness returns the weights of the network of templates, one after the other
// and without a header; LikenessManifest says what they are.
func Likeness() ([]byte, error) { return likeness.unpack(likenessPacked) }

// LikenessManifest returns the list of Likeness's tensors in the order in which
// they lie there, as JSON: name, shape, and for most of them how a byte becomes a
// number (byte*scale+min); the others are float32, little-endian.
func LikenessManifest() ([]byte, error) { return manifest.unpack(manifestPacked) }

// unpack returns the file that packed holds.
func (f file) unpack(packed []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("weights %s: %w", f.name, err)
	}
	out := make([]byte, f.size)
	if _, err := io.ReadFull(r, out); err != nil {
		return nil, fmt.Errorf("weights %s: %w", f.name, err)
	}
	if n, err := r.Read(make([]byte, 1)); n != 0 || err != io.EOF {
		return nil, fmt.Errorf("weights %s: more than %d bytes, or a damaged end", f.name, f.size)
	}
	if sum := sha256.Sum256(out); hex.EncodeToString(sum[:]) != f.sha256 {
		return nil, fmt.Errorf("weights %s: not those that were reviewed (sha256 %x)", f.name, sum)
	}
	return out, nil
}
