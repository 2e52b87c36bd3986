// Runs a .tflite file in the wasm of the npm package @mediapipe/face_mesh: the same
// interpreter, kernels (XNNPACK) and operations of MediaPipe's own that the package
// uses, in a graph of ours that hands a tensor in and every result out.
import { createRequire } from 'node:module';
import fs from 'node:fs';
import path from 'node:path';
import { calculator, join, part, reads, single, whole, writes } from './proto.mjs';
import { screen } from './webgl.mjs';

// run returns the first count results, each a Float32Array, for values of a w x h picture.
export async function run(folder, model, values, w, h, count) {
  const m = await load(folder, screen(values));
  const ids = Array.from({ length: count }, (_, i) => i);
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
    calculator('SplitTensorVectorCalculator', {
      ins: ['made'], outs: ids.map(i => 't' + i),
      options: ['SplitVectorCalculatorOptions', join(ids.map(i => part(1, join([whole(1, i), whole(2, i + 1)]))))],
    }),
    ...ids.map(i => calculator('TensorsToFloatsCalculator', { ins: ['TENSORS:t' + i], outs: ['FLOATS:f' + i] })),
    reads('in'), ...ids.map(i => writes('f' + i)),
  ]);
  const solution = new m.SolutionWasm();
  solution.overrideFile('network.tflite', model);
  solution.loadGraph(graph.buffer.slice(graph.byteOffset, graph.byteOffset + graph.length));
  const names = new m.StringList();
  ids.forEach(i => names.push_back('f' + i));
  let results;
  solution.attachMultiListener(names, m.PacketListener.implement({
    onResults: r => {
      results = ids.map(i => {
        const list = r.get(i), out = new Float32Array(list.size());
        for (let k = 0; k < out.length; k++) out[k] = list.get(k);
        return out;
      });
    },
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
