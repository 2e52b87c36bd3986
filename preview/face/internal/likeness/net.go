package likeness

import (
	"fmt"

	"garner/preview/face/internal/nn"
)

// Side is the height and width of the picture of a face, in pixels.
const Side = 150

// The mean of the red, green and blue that the network was trained on (dlib,
// input_rgb_image_sized<150>), and what differences from it are multiplied by. dlib
// divides by 256; this is what the package does, whose results are the measure here:
// they differ by 4e-4 of the largest of the 128.
var mean = []float64{122.782, 117.001, 104.298}

const scale = 1.0 / 255

// Net is the network. It holds some 25 MB and is for one goroutine.
type Net struct {
	first  *nn.Conv
	pool   *nn.Pool
	blocks []*block
	last   *nn.FullyConnected

	a, b   nn.Tensor
	memory memory
}

// Load makes the network of the package's weights and its list of them (TensorFlow.js:
// manifest and binary).
func Load(manifest, weights []byte) (*Net, error) {
	s, err := open(manifest, weights)
	if err != nil {
		return nil, err
	}
	n := &Net{}
	if n.first, err = s.conv("conv32_down", shape{7, 2, 3, 32, nn.Valid, nn.ReLU}, mean, scale); err != nil {
		return nil, err
	}
	if n.pool, err = nn.NewMaxPool(3, 3, 2, 2, nn.Valid, nn.None); err != nil {
		return nil, err
	}
	in, side := 32, 35 // (150-7)/2+1 = 72, (72-3)/2+1
	for _, b := range []struct {
		name string
		down bool
		out  int
	}{
		{"conv32_1", false, 32}, {"conv32_2", false, 32}, {"conv32_3", false, 32},
		{"conv64_down", true, 64}, {"conv64_1", false, 64}, {"conv64_2", false, 64}, {"conv64_3", false, 64},
		{"conv128_down", true, 128}, {"conv128_1", false, 128}, {"conv128_2", false, 128},
		{"conv256_down", true, 256}, {"conv256_1", false, 256}, {"conv256_2", false, 256}, {"conv256_down_out", true, 256},
	} {
		var made *block
		if made, side, err = s.block(b.name, b.down, side, in, b.out); err != nil {
			return nil, err
		}
		n.blocks, in = append(n.blocks, made), b.out
	}
	fc, err := s.take("fc", in, 128)
	if err != nil {
		return nil, err
	}
	turned := make([]float32, len(fc))
	for i := range in {
		for o := range 128 {
			turned[o*in+i] = fc[i*128+o]
		}
	}
	if n.last, err = nn.NewFullyConnected(in, 128, turned, nil, nn.None, nil); err != nil {
		return nil, err
	}
	if len(s) != 0 {
		return nil, bad("%d tensors have no place", len(s))
	}
	return n, nil
}

// Run describes a picture of a face: Side x Side pixels, red, green and blue from 0 to
// 255, with the eyes and the nose where dlib's chips have them. The result is valid
// until the next run.
func (n *Net) Run(face *nn.Tensor) ([]float32, error) {
	if face.H != Side || face.W != Side {
		return nil, fmt.Errorf("the network of likeness takes %d x %d pixels, not %d x %d", Side, Side, face.H, face.W)
	}
	x, y := &n.a, &n.b
	if err := n.first.Run(y, face); err != nil {
		return nil, err
	}
	if err := n.pool.Run(x, y); err != nil {
		return nil, err
	}
	for _, b := range n.blocks {
		if err := b.run(y, x, &n.memory); err != nil {
			return nil, err
		}
		x, y = y, x
	}
	if err := nn.Mean(y, x); err != nil {
		return nil, err
	}
	if err := n.last.Run(x, y); err != nil {
		return nil, err
	}
	return x.Data, nil
}
