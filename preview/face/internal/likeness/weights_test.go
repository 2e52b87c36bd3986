package likeness

import (
	"bytes"
	"errors"
	"testing"

	"garner/preview/face/models"
)

func TestOpen(t *testing.T) {
	s, err := open([]byte(`[{"weights":[
		{"name":"a","shape":[2],"dtype":"float32","quantization":{"dtype":"uint8","scale":0.5,"min":-1}},
		{"name":"b","shape":[1,1],"dtype":"float32"}]}]`), []byte{0, 255, 0, 0, 0x80, 0x3f})
	if err != nil {
		t.Fatal(err)
	}
	if a, err := s.take("a", 2); err != nil || a[0] != -1 || a[1] != 126.5 {
		t.Errorf("a is %v, %v", a, err)
	}
	if b, err := s.take("b", 1, 1); err != nil || b[0] != 1 {
		t.Errorf("b is %v, %v", b, err)
	}
	if _, err := s.take("b", 1, 1); !errors.Is(err, ErrWeights) {
		t.Errorf("b once more: %v", err)
	}
}

func TestOpenRefuses(t *testing.T) {
	for name, manifest := range map[string]string{
		"no JSON":       `[{`,
		"short":         `[{"weights":[{"name":"a","shape":[2],"dtype":"float32"}]}]`,
		"more bytes":    `[{"weights":[{"name":"a","shape":[1],"dtype":"float32","quantization":{"dtype":"uint8"}}]}]`,
		"twice":         `[{"weights":[{"name":"a","shape":[2],"dtype":"float32","quantization":{"dtype":"uint8"}},{"name":"a","shape":[2],"dtype":"float32","quantization":{"dtype":"uint8"}}]}]`,
		"overflow":      `[{"weights":[{"name":"a","shape":[1048576,1048576,1048576,1048576],"dtype":"float32"}]}]`,
		"no shape":      `[{"weights":[{"name":"a","shape":[-4],"dtype":"float32"}]}]`,
		"other type":    `[{"weights":[{"name":"a","shape":[1],"dtype":"int32"}]}]`,
		"other quantum": `[{"weights":[{"name":"a","shape":[1],"dtype":"float32","quantization":{"dtype":"uint16"}}]}]`,
		"long":          string(make([]byte, maxManifest+1)),
	} {
		if _, err := open([]byte(manifest), make([]byte, 4)); !errors.Is(err, ErrWeights) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Any list of any weights is read or refused.
func FuzzLoad(f *testing.F) {
	manifest, err := models.LikenessManifest()
	if err != nil {
		f.Fatal(err)
	}
	weights, err := models.Likeness()
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(`[{"weights":[{"name":"a","shape":[2],"dtype":"float32","quantization":{"dtype":"uint8","scale":0.5,"min":-1}}]}]`), uint32(2))
	f.Add(manifest, uint32(len(weights)-1))
	f.Add(bytes.Replace(manifest, []byte("[7,7,3,32]"), []byte("[7,7,32,3]"), 1), uint32(len(weights)))
	f.Fuzz(func(t *testing.T, list []byte, n uint32) {
		net, err := Load(list, weights[:min(int(n), len(weights))])
		if (net == nil) == (err == nil) {
			t.Fatalf("%v, %v", net, err)
		}
		if err != nil && !errors.Is(err, ErrWeights) {
			t.Fatal(err)
		}
	})
}
