// Pictures for the networks that need no file: the same numbers here and in the
// tests, from whole numbers alone, as float32 from 0 to 1 in rows of pixels of three.
import fs from 'node:fs';

export function picture(name, w, h) {
  if (name.includes('/')) {
    const b = fs.readFileSync(name); // float32, little endian
    return new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + 4 * 3 * w * h));
  }
  const out = new Float32Array(3 * w * h);
  let seed = 1;
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      for (let c = 0; c < 3; c++) {
        seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
        const i = 3 * (y * w + x) + c;
        if (name === 'noise') out[i] = (seed >>> 8) / 16777216;
        else if (name === 'waves') out[i] = wave(5 * x + 3 * y + 40 * c) / 255;
        else if (name === 'face') out[i] = face(x, y, c, w, h) / 255;
        else if (name === 'four') out[i] = face(2 * x % w, 2 * y % h, c, w, h) / 255;
        else throw new Error('no picture ' + name);
      }
    }
  }
  return out;
}

// wave goes up and down between 0 and 255.
function wave(n) {
  n %= 510;
  return n < 256 ? n : 510 - n;
}

// face is a drawing in a field of 192 x 192: head, hair, eyes, nose, mouth.
function face(x, y, c, w, h) {
  x = Math.floor(x * 192 / w);
  y = Math.floor(y * 192 / h);
  const round = (cx, cy, rx, ry) => (x - cx) ** 2 * ry * ry + (y - cy) ** 2 * rx * rx < rx * rx * ry * ry;
  const shade = Math.floor(Math.abs(x - 96) / 4) + Math.floor(Math.abs(y - 100) / 8);
  let is = [90, 110, 130];
  if (round(96, 84, 60, 70)) is = [50, 36, 28];
  if (round(96, 100, 50, 64)) is = [214 - shade, 170 - shade, 148 - shade];
  for (const ex of [75, 117]) {
    if (round(ex, 76, 14, 3)) is = [70, 50, 40];
    if (round(ex, 88, 11, 6)) is = [235, 232, 228];
    if (round(ex, 88, 5, 5)) is = [60, 40, 30];
    if (round(ex, 88, 2, 2)) is = [5, 5, 5];
  }
  if (round(96, 110, 5, 14)) is = [190, 140, 120];
  if (round(90, 122, 3, 2) || round(102, 122, 3, 2)) is = [110, 70, 60];
  if (round(96, 140, 20, 6)) is = [170, 80, 80];
  if (round(96, 140, 17, 1)) is = [90, 40, 40];
  return is[c];
}
