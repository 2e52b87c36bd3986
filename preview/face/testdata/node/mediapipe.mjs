// Runs a .tflite file in the wasm of the npm package @mediapipe/face_mesh: the same
// interpreter, kernels (XNNPACK) and operations of MediaPipe's own that the package
// uses, in a graph of ours that hands a tensor in and every result out.
import { createRequire } from 'node:module';
import fs from 'node:fs';
import path from 'node:path';
import { calculator, fields, join, part, reads, single, whole, writes } from './proto.mjs';
import { screen } from './webgl.mjs';

// run returns the first count results, each a Float32Array, for values of a w x h picture.
export async function run(folder, model, values, w, h, count) {
  const ids = Array.from({ length: count }, (_, i) => i);
  const lists = await through(folder, model, values, w, h, ids.map(i => 'f' + i), [
    calculator('SplitTensorVectorCalculator', {
      ins: ['made'], outs: ids.map(i => 't' + i),
      options: ['SplitVectorCalculatorOptions', join(ids.map(i => part(1, join([whole(1, i), whole(2, i + 1)]))))],
    }),
    ...ids.map(i => calculator('TensorsToFloatsCalculator', { ins: ['TENSORS:t' + i], outs: ['FLOATS:f' + i] })),
  ], list => {
    const out = new Float32Array(list.size());
    for (let k = 0; k < out.length; k++) out[k] = list.get(k);
    return out;
  });
  return lists;
}

// detect returns the faces that the full-range detector of @mediapipe/face_detection
// finds in 192 x 192 values, as that package's graph makes them of its results: anchors,
// floor, weighted suppression with the options that stand in its wasm. Left, top,
// width and height of the box and the points are shares of the picture.
export async function detect(folder, model, values, floor) {
  const [found] = await through(folder, model, values, 192, 192, ['faces'], [
    calculator('SsdAnchorsCalculator', {
      gives: ['anchors'],
      options: ['SsdAnchorsCalculatorOptions', join([whole(1, 192), whole(2, 192), single(3, 0.1484375), single(4, 0.75), single(5, 0.5),
        single(6, 0.5), whole(7, 1), whole(10, 4), single(11, 1), single(13, 0), whole(14, 1)])],
    }),
    calculator('TensorsToDetectionsCalculator', {
      ins: ['TENSORS:made'], outs: ['DETECTIONS:all'], side: ['ANCHORS:anchors'],
      options: ['TensorsToDetectionsCalculatorOptions', join([whole(1, 1), whole(2, 2304), whole(3, 16), single(4, 192), single(5, 192),
        single(6, 192), single(7, 192), whole(9, 4), whole(10, 6), whole(11, 2), whole(12, 0), whole(14, 1), whole(15, 1), single(16, 100),
        single(19, floor)])],
    }),
    calculator('NonMaxSuppressionCalculator', {
      ins: ['all'], outs: ['faces'],
      options: ['NonMaxSuppressionCalculatorOptions', join([single(3, 0.3), whole(4, 3), whole(7, 1)])],
    }),
  ], list => {
    const rects = list.getRectList(), points = list.getLandmarksList(), scores = list.getClassificationsList();
    return Array.from({ length: rects.size() }, (_, i) => {
      const r = fields(rects.get(i)), [x, y, height, width] = [1, 2, 3, 4].map(f => r.get(f)[0]);
      return {
        score: fields(fields(scores.get(i)).get(1)[0]).get(2)[0], box: [x - width / 2, y - height / 2, width, height],
        points: fields(points.get(i)).get(1).map(fields).flatMap(p => [p.get(1)[0], p.get(2)[0]]),
      };
    });
  });
  return found;
}

// through runs a network and what stands behind it in a graph: calculators that read
// the tensors "made". The streams named are returned, each as read makes it.
async function through(folder, model, values, w, h, streams, behind, read) {
  const m = await load(folder, screen(values));
  const graph = join([
    calculator('TfLiteCustomOpResolverCalculator', { gives: ['OP_RESOLVER:ops'], options: ['TfLiteCustomOpResolverCalculatorOptions', []] }),
    calculator('ImageToTensorCalculator', {
      ins: ['IMAGE_GPU:in'], outs: ['TENSORS:given'],
      options: ['ImageToTensorCalculatorOptions', join([whole(1, w), whole(2, h), part(4, join([single(1, 0), single(2, 1)]))])],
    }),
    calculator('InferenceCalculatorCpu', {
      ins: ['TENSORS:given'], outs: ['TENSORS:made'], side: ['OP_RESOLVER:ops'],
      options: ['InferenceCalculatorOptions', join([part(1, 'network.tflite'), part(5, part(4, []))])],
    }),
    ...behind, reads('in'), ...streams.map(writes),
  ]);
  const solution = new m.SolutionWasm();
  solution.overrideFile('network.tflite', model);
  solution.loadGraph(graph.buffer.slice(graph.byteOffset, graph.byteOffset + graph.length));
  const names = new m.StringList();
  streams.forEach(s => names.push_back(s));
  let results;
  solution.attachMultiListener(names, m.PacketListener.implement({
    onResults: r => { results = streams.map((_, i) => read(r.get(i))); },
  }));
  const packets = new m.PacketDataList();
  packets.pushTexture2d({ glName: 1, width: w, height: h, stream: 'in', timestamp: 1000 });
  solution.send(packets);
  if (!results) throw new Error('the graph gave nothing');
  return results;
}

async function load(folder, canvas) {
  const name = 'face_mesh_solution_simd_wasm_bin', script = path.join(folder, name + '.js');
  const module = { exports: {} };
  new Function('module', 'exports', 'require', '__filename', '__dirname', fs.readFileSync(script, 'utf8'))(
    module, module.exports, createRequire(import.meta.url), script, folder);
  const m = await module.exports({
    canvas, wasmBinary: fs.readFileSync(path.join(folder, name + '.wasm')),
    print: () => {}, printErr: s => { if (/^[EF]\d{4}|ERROR/.test(s)) console.error(s); },
  });
  m.canvas = canvas;
  m.GL.makeContextCurrent(m.GL.createContext(canvas, { majorVersion: 2, alpha: false }));
  return m;
}
