// As much of the wire format of protocol buffers as a graph of MediaPipe needs.
const varint = n => {
  const out = [];
  for (; n > 127; n = Math.floor(n / 128)) out.push(n % 128 | 128);
  return [...out, n];
};
export const join = parts => Buffer.concat(parts.map(p => Buffer.from(p)));
export const part = (field, body) => {
  const b = Buffer.from(body);
  return join([varint(field * 8 + 2), varint(b.length), b]);
};
export const whole = (field, n) => join([varint(field * 8), varint(n)]);
export const single = (field, x) => {
  const b = Buffer.alloc(4);
  b.writeFloatLE(x);
  return join([varint(field * 8 + 5), b]);
};

// calculator is a node of a graph: its name, streams in and out, side packets in and
// out, options of the message named.
export const calculator = (name, { ins = [], outs = [], side = [], gives = [], options } = {}) => part(1, join([
  part(2, name), ...ins.map(s => part(3, s)), ...outs.map(s => part(4, s)),
  ...side.map(s => part(5, s)), ...gives.map(s => part(6, s)),
  ...(options ? [part(8, join([part(1, 'type.googleapis.com/drishti.' + options[0]), part(2, options[1])]))] : []),
]));
export const reads = stream => part(10, stream);
export const writes = stream => part(15, stream);

// fields reads a message: the values of each field, numbers or bytes.
export function fields(message) {
  const b = Buffer.from(message), out = new Map();
  let at = 0;
  const number = () => {
    for (let n = 0, unit = 1; ; unit *= 128) {
      const c = b[at++];
      n += (c & 127) * unit;
      if (c < 128) return n;
    }
  };
  while (at < b.length) {
    const key = number(), field = Math.floor(key / 8);
    let value;
    switch (key % 8) {
      case 0: value = number(); break;
      case 2: { const n = number(); value = b.subarray(at, at += n); break; }
      case 5: value = b.readFloatLE(at); at += 4; break;
      default: throw new Error('unexpected field of a message');
    }
    out.set(field, [...(out.get(field) ?? []), value]);
  }
  return out;
}
