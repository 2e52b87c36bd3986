// node run.mjs PACKAGE NETWORK PICTURE [layers | faces FLOOR]
//
// PACKAGE is an unpacked npm package: @vladmandic/face-api for the network "likeness",
// @mediapipe/face_mesh for a .tflite file. PICTURE is of pictures.mjs, noise for one,
// or a file of float32 with a slash in its name. Prints JSON: the results, base64 of
// float32, and with "layers" what every operation made as sums. With "faces FLOOR" and
// the detector: the faces that MediaPipe makes of the results.
import fs from 'node:fs';
import { giving, tensors } from './flat.mjs';
import { run as likeness } from './likeness.mjs';
import { detect, run as mediapipe } from './mediapipe.mjs';
import { picture } from './pictures.mjs';

const [, , folder, network, from, more, floor] = process.argv;
const layers = more === 'layers';
const base64 = v => Buffer.from(v.buffer, v.byteOffset, 4 * v.length).toString('base64');
const sums = v => {
  let sum = 0, size = 0;
  for (const x of v) { sum += x; size += Math.abs(x); }
  return { count: v.length, sum, size };
};

// Node shows the line of a script that failed; these scripts have one line of 200 KB.
process.on('uncaughtException', e => {
  fs.writeSync(2, `${e}`.slice(0, 2000) + '\n');
  process.exit(1);
});

let said;
if (network === 'likeness') {
  const { out, steps } = await likeness(folder, picture(from, 150, 150));
  said = { outputs: [{ name: 'likeness', data: base64(out) }] };
  if (layers) said.layers = steps.map(([name, shape, v]) => ({ name, shape, ...sums(v) }));
} else if (more === 'faces') {
  said = await detect(folder, fs.readFileSync(network), picture(from, 192, 192), Number(floor));
} else {
  const file = fs.readFileSync(network), { outputs, made } = tensors(file);
  const wanted = layers ? [...outputs, ...made] : outputs;
  const results = await mediapipe(folder, giving(file, wanted.map(t => t.index)), picture(from, 192, 192), 192, 192, wanted.length);
  said = { outputs: outputs.map((t, i) => ({ name: t.name, data: base64(results[i]) })) };
  if (layers) said.layers = made.map((t, i) => ({ name: t.name, shape: t.shape, ...sums(results[outputs.length + i]) }));
}
fs.writeSync(1, JSON.stringify(said));
process.exit(0);
