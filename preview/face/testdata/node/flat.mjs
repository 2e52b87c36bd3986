// Reads what is needed of a .tflite file, and lets a copy of it give every tensor.

// tensors lists the results of a network and what each of its operations makes, with
// name, shape and place in the list of tensors.
export function tensors(file) {
  const f = new Flat(file);
  const net = f.at(f.field(f.at(0), 2) && f.item(f.field(f.at(0), 2), 0), 0);
  const all = f.field(net, 0), ops = f.field(net, 3);
  const tell = i => {
    const t = f.item(all, i);
    return { index: i, name: f.text(f.field(t, 3)), shape: f.field(t, 0) ? f.wholes(f.field(t, 0)) : [] };
  };
  const made = [];
  for (let k = 0; k < f.count(ops); k++) made.push(...f.wholes(f.field(f.item(ops, k), 2)));
  return { outputs: f.wholes(f.field(net, 2)).map(tell), made: made.map(tell) };
}

// giving returns a copy of the file whose results are the tensors named by index. The
// longer list of results stands behind the old end, where nothing points to yet.
export function giving(file, indices) {
  const f = new Flat(file);
  const net = f.item(f.field(f.at(0), 2), 0);
  const slot = f.slot(net, 2), end = Math.ceil(file.length / 4) * 4;
  const out = Buffer.alloc(end + 4 + 4 * indices.length);
  file.copy(out);
  out.writeUInt32LE(end - slot, slot);
  out.writeUInt32LE(indices.length, end);
  indices.forEach((v, i) => out.writeInt32LE(v, end + 4 + 4 * i));
  return out;
}

// Flat walks a FlatBuffer; a place is an offset from the beginning.
class Flat {
  constructor(b) { this.b = b; }
  at(place) { return place ? place : this.b.readUInt32LE(0); }
  slot(table, i) {
    const head = table - this.b.readInt32LE(table), at = 4 + 2 * i;
    const o = at < this.b.readUInt16LE(head) ? this.b.readUInt16LE(head + at) : 0;
    return o && table + o;
  }
  field(table, i) { const s = this.slot(table, i); return s && s + this.b.readUInt32LE(s); }
  count(list) { return this.b.readUInt32LE(list); }
  item(list, i) { const p = list + 4 + 4 * i; return p + this.b.readUInt32LE(p); }
  wholes(list) { return Array.from({ length: this.count(list) }, (_, i) => this.b.readInt32LE(list + 4 + 4 * i)); }
  text(s) { return this.b.toString('utf8', s + 4, s + 4 + this.count(s)); }
}
