package testface

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// Node runs a network in node, in the package that publishes it; model is the .tflite
// file, nil for "likeness". values is a picture as Picture makes them. All values of
// the results are returned, and the layers where that is asked for.
func Node(t testing.TB, network string, model []byte, values []float32, layers bool) Reference {
	t.Helper()
	node := testneed.Tool(t, "node")
	dir := t.TempDir()
	picture, file := filepath.Join(dir, "picture"), filepath.Join(dir, "network.tflite")
	b := make([]byte, 0, 4*len(values))
	for _, v := range values {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	if err := os.WriteFile(picture, b, 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{filepath.Join(scripts(), "run.mjs"), faceMesh(t), file, picture}
	if model == nil {
		args[1], args[2] = faceAPI(t), network
	} else if err := os.WriteFile(file, model, 0o600); err != nil {
		t.Fatal(err)
	}
	if layers {
		args = append(args, "layers")
	}
	cmd := exec.Command(node, args...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node %q: %v", args, err)
	}
	var said struct {
		Outputs []struct{ Name, Data string }
		Layers  []Layer
	}
	if err := json.Unmarshal(out, &said); err != nil {
		t.Fatal(err)
	}
	r := Reference{Network: network, Layers: said.Layers}
	for _, o := range said.Outputs {
		b, err := base64.StdEncoding.DecodeString(o.Data)
		if err != nil {
			t.Fatal(err)
		}
		v := make([]float32, len(b)/4)
		for i := range v {
			v[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		r.Outputs = append(r.Outputs, Output{Name: o.Name, Count: len(v), Every: 1, Values: v})
	}
	return r
}

func faceMesh(t testing.TB) string {
	return testneed.Unpacked(t, "@mediapipe/face_mesh", "0.4.1657299874", "c08a7e0742a326285da666cf81d77c8b6f3a181a2ee948cadaf166008e0d3bc7")
}

func faceAPI(t testing.TB) string {
	return testneed.Unpacked(t, "@vladmandic/face-api", "1.7.15", "0d77fffeef362ef9c0939cf6c567f3a2e8e177f114fa257a3270cbd2e509b031")
}
