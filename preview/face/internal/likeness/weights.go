package likeness

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"garner/preview/face/internal/nn"
)

// ErrWeights is what every error about the weights wraps.
var ErrWeights = errors.New("the weights of the network of likeness are not as expected")

func bad(format string, args ...any) error {
	return fmt.Errorf("%w: "+format, append([]any{ErrWeights}, args...)...)
}

// maxManifest bounds what is read as JSON: the list has 20 KB.
const maxManifest = 1 << 20

// entry is a tensor of a TensorFlow.js manifest. Tensors lie one after the other.
type entry struct {
	Name         string `json:"name"`
	Shape        []int  `json:"shape"`
	DType        string `json:"dtype"`
	Quantization *struct {
		DType string  `json:"dtype"`
		Scale float64 `json:"scale"`
		Min   float64 `json:"min"`
	} `json:"quantization"`
}

// store gives out tensors by their names, each once.
type store map[string]stored

type stored struct {
	entry
	data []byte
}

// open reads the manifest and finds each tensor in the weights.
func open(manifest, weights []byte) (store, error) {
	if len(manifest) > maxManifest {
		return nil, bad("a manifest of %d bytes", len(manifest))
	}
	var groups []struct {
		Weights []entry `json:"weights"`
	}
	if err := json.Unmarshal(manifest, &groups); err != nil {
		return nil, bad("manifest: %v", err)
	}
	s := store{}
	for _, g := range groups {
		for _, e := range g.Weights {
			n, err := e.bytes()
			if err != nil {
				return nil, err
			}
			if n > len(weights) {
				return nil, bad("%s has %d bytes, %d are left", e.Name, n, len(weights))
			}
			if _, twice := s[e.Name]; twice {
				return nil, bad("%s comes twice", e.Name)
			}
			s[e.Name] = stored{e, weights[:n]}
			weights = weights[n:]
		}
	}
	if len(weights) != 0 {
		return nil, bad("%d bytes belong to no tensor", len(weights))
	}
	return s, nil
}

// bytes returns how many bytes a tensor has.
func (e entry) bytes() (int, error) {
	n := 1
	for _, d := range e.Shape {
		if d < 1 || n > nn.MaxValues/d {
			return 0, bad("%s has the shape %v", e.Name, e.Shape)
		}
		n *= d
	}
	switch q := e.Quantization; {
	case e.DType != "float32":
		return 0, bad("%s has values of type %q", e.Name, e.DType)
	case q == nil:
		return 4 * n, nil
	case q.DType != "uint8":
		return 0, bad("%s is kept as %q", e.Name, q.DType)
	}
	return n, nil
}

// take returns the values of a tensor, which must have that shape.
func (s store) take(name string, shape ...int) ([]float32, error) {
	t, ok := s[name]
	if !ok {
		return nil, bad("%s is missing", name)
	}
	if fmt.Sprint(t.Shape) != fmt.Sprint(shape) {
		return nil, bad("%s has the shape %v, want %v", name, t.Shape, shape)
	}
	delete(s, name)
	if q := t.Quantization; q != nil {
		v := make([]float32, len(t.data))
		for i, b := range t.data {
			v[i] = float32(float64(b)*q.Scale + q.Min)
		}
		return v, nil
	}
	v := make([]float32, len(t.data)/4)
	for i := range v {
		v[i] = math.Float32frombits(binary.LittleEndian.Uint32(t.data[4*i:]))
	}
	return v, nil
}
