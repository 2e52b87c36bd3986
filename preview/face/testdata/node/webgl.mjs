// A stand-in for WebGL, which draws nothing: whoever reads a picture of floats back
// from it gets the values given. MediaPipe's own wasm takes pictures by WebGL alone;
// this hands a tensor over to it exactly, without a browser.

class WebGLRenderingContext {}
class WebGL2RenderingContext {}
Object.assign(globalThis, { WebGLRenderingContext, WebGL2RenderingContext });

const FLOAT = 0x1406;
const extensions = ['EXT_color_buffer_float', 'OES_texture_float_linear'];
const limits = {
  0x1f00: 'none', 0x1f01: 'none', 0x1f02: 'WebGL 2.0', 0x8b8c: 'WebGL GLSL ES 3.00',
  0x821b: 3, 0x821c: 0, // version
  0x0d33: 4096, 0x84e8: 4096, 0x0d3a: new Int32Array([4096, 4096]), // sizes of textures, buffers, viewports
  0x0ba2: new Int32Array([0, 0, 1, 1]),
};

// screen returns a canvas that knows such a context. values are three to a pixel.
export function screen(values) {
  const known = Object.assign(Object.create(WebGL2RenderingContext.prototype), {
    getContextAttributes: () => ({}),
    getSupportedExtensions: () => extensions,
    getExtension: name => extensions.includes(name) ? {} : null,
    getParameter: p => limits[p] ?? 16,
    getError: () => 0,
    isContextLost: () => false,
    checkFramebufferStatus: () => 0x8cd5, // complete
    getShaderParameter: (_, p) => p === 0x8b4f ? 0 : true,
    getProgramParameter: (_, p) => [0x8b86, 0x8b89, 0x8a36].includes(p) ? 0 : true, // no uniforms, no attributes
    getShaderInfoLog: () => '', getProgramInfoLog: () => '',
    getUniformLocation: () => ({}), getAttribLocation: () => 0,
    fenceSync: () => ({}), clientWaitSync: () => 0x911a, getSyncParameter: () => 0x9119,
    readPixels: (x, y, w, h, format, type, into, from = 0) => {
      if (type !== FLOAT || w * h * 3 !== values.length) throw new Error('unexpected picture read');
      for (let i = 0; i < w * h; i++) {
        for (let c = 0; c < 3; c++) into[from + 4 * i + c] = values[3 * i + c];
        into[from + 4 * i + 3] = 0;
      }
    },
  });
  const context = new Proxy(known, {
    get: (t, k) => k in t || typeof k !== 'string' || k.startsWith('current') || k.endsWith('Queries') ? t[k]
      : k.startsWith('create') ? () => ({}) : () => {},
  });
  const canvas = { width: 1, height: 1, style: {}, getContext: () => context, addEventListener() {}, removeEventListener() {} };
  known.canvas = canvas;
  return canvas;
}
