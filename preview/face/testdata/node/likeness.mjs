// Runs the recognition network of the npm package @vladmandic/face-api as the package
// does, on the CPU backend of the TensorFlow.js inside it.
import fs from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

// run returns the 128 numbers for a 150 x 150 picture of values from 0 to 1, and what
// each kernel on the way made: [name, shape, values].
export async function run(folder, values) {
  const api = await load(folder);
  const tf = api.tf, model = path.join(folder, 'model');
  const bin = fs.readFileSync(path.join(model, 'face_recognition_model.bin'));
  const [group] = JSON.parse(fs.readFileSync(path.join(model, 'face_recognition_model-weights_manifest.json'), 'utf8'));
  const net = new api.FaceRecognitionNet();
  net.loadFromWeightMap(tf.io.decodeWeights(bin.buffer.slice(bin.byteOffset, bin.byteOffset + bin.length), group.weights));
  const engine = tf.engine(), runKernel = engine.runKernel.bind(engine), steps = [];
  const picture = tf.tensor(values.map(v => Math.fround(v * 255)), [150, 150, 3]);
  engine.runKernel = (name, inputs, attrs) => {
    const out = runKernel(name, inputs, attrs);
    if (!Array.isArray(out) && out.dtype === 'float32') steps.push([name, out.shape, out.dataSync().slice()]);
    return out;
  };
  const out = await net.forward(picture);
  return { out: out.dataSync().slice(), steps };
}

async function load(folder) {
  // The package looks for a browser or for a node build of TensorFlow.js; it is told
  // that this is neither.
  Object.defineProperty(process, 'versions', { value: { ...process.versions, node: undefined } });
  const api = await import(pathToFileURL(path.join(folder, 'dist', 'face-api.esm.js')));
  const none = class {};
  api.env.setEnv({ Canvas: none, CanvasRenderingContext2D: none, Image: none, ImageData: none, Video: none });
  api.tf.env().setPlatform('plain', {
    encode: s => new TextEncoder().encode(s), decode: (b, as) => new TextDecoder(as).decode(b),
    now: () => performance.now(), isTypedArray: a => ArrayBuffer.isView(a) && !(a instanceof DataView),
  });
  await api.tf.setBackend('cpu');
  await api.tf.ready();
  return api;
}
