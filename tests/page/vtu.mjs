// A field file read without VTK and without the page: appended raw arrays, zlib blocks, little endian.
//   surface_range(file) -> {low, high} of the von Mises stress at the corners on the surface of each part, MPa
import { readFileSync } from 'node:fs';
import { inflateSync } from 'node:zlib';

const widths = { Float64: 8, Int64: 8, Int32: 4, UInt8: 1 };
const types = { Float64: Float64Array, Int64: BigInt64Array, Int32: Int32Array, UInt8: Uint8Array };

function array(bytes, start, name) {
  const [, type, offset] = new RegExp(`<DataArray type="(\\w+)" Name="${name}"[^>]* offset="(\\d+)`).exec(bytes.toString('latin1', 0, start));
  let at = start + Number(offset);
  const number = () => Number(bytes.readBigUInt64LE((at += 8) - 8));
  const blocks = number();
  number(), number(); // sizes of a whole and of the last block before packing
  const packed = Array.from({ length: blocks }, number), parts = [];
  for (const size of packed) {
    parts.push(inflateSync(bytes.subarray(at, at + size)));
    at += size;
  }
  const all = Buffer.concat(parts), copy = new Uint8Array(all).buffer;
  return new types[type](copy, 0, all.length / widths[type]);
}

export function surfaceRange(file) {
  const bytes = readFileSync(file), start = bytes.indexOf('_', bytes.indexOf('<AppendedData')) + 1;
  const [stress, part, cells, ends] = ['von_mises_mpa', 'part', 'connectivity', 'offsets'].map((name) => array(bytes, start, name));
  const faces = new Map(), step = Number(ends[0]); // one kind of cell: tetrahedra of ten nodes, corners first
  for (let c = 0; c < part.length; ++c) {
    const corner = [0, 1, 2, 3].map((i) => Number(cells[c * step + i]));
    for (let i = 0; i < 4; ++i) {
      const key = `${part[c]}:${corner.filter((_, k) => k !== i).sort((a, b) => a - b)}`;
      faces.set(key, (faces.get(key) ?? 0) + 1);
    }
  }
  let low = Infinity, high = -Infinity;
  for (const [key, times] of faces)
    if (times === 1)
      for (const node of key.split(':')[1].split(',')) {
        low = Math.min(low, stress[node]);
        high = Math.max(high, stress[node]);
      }
  return { low, high };
}
