// node goldens.mjs FACE_MESH FACE_DETECTION FACE_API > goldens.json
//
// Writes down what the networks give in their own packages: unpacked folders of
// @mediapipe/face_mesh 0.4.1657299874 (its wasm runs both .tflite files),
// @mediapipe/face_detection 0.4.1657300184 and @vladmandic/face-api 1.7.15.
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const [, , mesh, detection, api] = process.argv;
const dir = fs.mkdtempSync(path.join(os.tmpdir(), 'goldens'));
const attention = path.join(dir, 'mesh.tflite');
fs.writeFileSync(attention, fs.readFileSync(path.join(mesh, 'face_mesh_solution_packed_assets.data')).subarray(0, 2495952));
const networks = [
  ['detector', mesh, path.join(detection, 'face_detection_full_range.tflite')],
  ['mesh', mesh, attention],
  ['likeness', api, 'likeness'],
];
const script = fileURLToPath(new URL('run.mjs', import.meta.url));
const round = x => Number(x.toPrecision(7));

const references = [];
for (const [network, folder, model] of networks) {
  for (const picture of ['noise', 'waves', 'face']) {
    const args = [script, folder, model, picture, ...(picture === 'face' ? ['layers'] : [])];
    const said = JSON.parse(execFileSync(process.execPath, args, { maxBuffer: 1 << 26, stdio: ['ignore', 'pipe', 'ignore'] }));
    const outputs = said.outputs.map(o => {
      const b = Buffer.from(o.data, 'base64'), count = b.length / 4;
      // Some thirty of each, and all of a template; an odd step goes through all columns.
      const every = count <= 160 ? 1 : Math.floor(count / 30) | 1, values = [];
      for (let i = 0; i < count; i += every) values.push(round(b.readFloatLE(4 * i)));
      return { name: o.name, count, every, values };
    });
    // Weights that are only widened to float32 are no layers.
    const layers = (said.layers ?? []).filter(l => !l.name.endsWith('dequantize'))
      .map(l => ({ name: l.name, shape: l.shape, count: l.count, sum: round(l.sum), size: round(l.size) }));
    references.push({ network, picture, outputs, layers });
  }
}
fs.rmSync(dir, { recursive: true });
// What MediaPipe makes of the detector's results for the drawn faces: the sure ones, and
// with a lower floor, which changes the means.
const found = [];
for (const [picture, floor] of [['face', 0.5], ['four', 0.5], ['face', 0.1], ['four', 0.1]]) {
  const args = [script, mesh, networks[0][2], picture, 'faces', floor];
  found.push({ picture, floor, faces: JSON.parse(execFileSync(process.execPath, args, { stdio: ['ignore', 'pipe', 'ignore'] })) });
}
const list = (items, indent) => items.map(i => indent + JSON.stringify(i)).join(',\n');
process.stdout.write('{"source": "goldens.mjs, see there", "references": [\n' + references.map(r =>
  ` {"network": "${r.network}", "picture": "${r.picture}", "outputs": [\n${list(r.outputs, '  ')}], "layers": [\n${list(r.layers, '  ')}]}`,
).join(',\n') + '\n], "found": [\n' + list(found, ' ') + '\n]}\n');
