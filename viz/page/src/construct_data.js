// Packed surfaces and fields of the construct (viz/surface_pack.h) and the colour scale.

export const isBone = (part) => part.startsWith('cortex') || part.startsWith('cancellous');

export const fields = {
  von_mises: { words: 'how hard the material is pressed, pulled and sheared (von Mises stress, MPa)', name: 'von Mises stress', unit: 'MPa', of: (v) => v.vonMises },
  displacement: { words: 'how far it moves under load (displacement, mm)', name: 'displacement', unit: 'mm', of: (v) => v.size },
};

// Dark blue over green to yellow, even in lightness: larger is lighter (as in the pictures of the results folder).
const scale = [[0.16, 0.10, 0.36], [0.16, 0.30, 0.56], [0.12, 0.48, 0.55], [0.20, 0.66, 0.48], [0.57, 0.80, 0.25], [0.99, 0.91, 0.22]];
export const scaleStops = scale.map((c) => `rgb(${c.map((v) => Math.round(255 * v)).join(' ')})`);

/** Colours of values as three bytes a point; 0 is the dark end, `top` and beyond the light one. */
export function colours(values, top) {
  const bytes = new Uint8Array(3 * values.length);
  for (let p = 0; p < values.length; ++p) {
    const x = Math.min(Math.max(values[p] / top, 0), 1) * (scale.length - 1), i = Math.min(Math.floor(x), scale.length - 2);
    for (let c = 0; c < 3; ++c) bytes[3 * p + c] = Math.round(255 * (scale[i][c] + (x - i) * (scale[i + 1][c] - scale[i][c])));
  }
  return bytes;
}

export async function readSurface(results, number, described) {
  const bytes = await results.bytes(`surface/${number}`), view = new DataView(bytes.buffer, bytes.byteOffset);
  const positions = new Float32Array(3 * described.points), index = new Uint32Array(3 * described.triangles);
  for (let i = 0; i < positions.length; ++i) positions[i] = described.low[i % 3] + (view.getUint16(2 * i, true) / 65535) * described.size[i % 3];
  let before = 0;
  for (let i = 0; i < index.length; ++i) index[i] = before += view.getInt32(2 * positions.length + 4 * i, true);
  return { number, ...described, positions, index };
}

/** vonMises, size: the numbers of the field file; displacement: rounded, only to draw the deformed shape. */
export async function readField(results, state, points) {
  const bytes = await results.bytes(`field/${state.field}`), view = new DataView(bytes.buffer, bytes.byteOffset);
  const floats = (at) => Float32Array.from({ length: points }, (_, i) => view.getFloat32(at + 4 * i, true));
  const displacement = Float32Array.from({ length: 3 * points }, (_, i) => view.getInt16(8 * points + 2 * i, true) * state.displacement_unit_mm);
  return { vonMises: floats(0), size: floats(4 * points), displacement };
}

/** Top of the scale: the value that one point in 100 of the metal passes (of everything where there is none). */
export function topOf(surface, shown) {
  const metal = surface.parts.filter((p) => !isBone(p.name)), parts = metal.length ? metal : surface.parts, all = [];
  for (const p of parts) for (let i = 3 * p.first_triangle; i < 3 * (p.first_triangle + p.triangles); ++i) all.push(shown[surface.index[i]]);
  all.sort((a, b) => a - b);
  return all[Math.floor(0.99 * (all.length - 1))] || 1;
}

/** Of each part the point of its surface with the largest value, largest first: [{part, point, value}]. */
export function largest(surface, shown) {
  return surface.parts.map((part) => {
    let point = surface.index[3 * part.first_triangle];
    for (let i = 3 * part.first_triangle; i < 3 * (part.first_triangle + part.triangles); ++i) if (shown[surface.index[i]] > shown[point]) point = surface.index[i];
    return { part: part.name, point, value: shown[point] };
  }).sort((a, b) => b.value - a.value);
}

/** Triangles of each part when points of one cell of a grid of `cell` mm are one point: [Uint32Array of corners]. */
function clustered({ positions, index, parts }, cell) {
  return parts.map((part) => {
    const first = new Map(), corners = [];
    const one = (i) => {
      const key = `${Math.floor(positions[3 * i] / cell)} ${Math.floor(positions[3 * i + 1] / cell)} ${Math.floor(positions[3 * i + 2] / cell)}`;
      if (!first.has(key)) first.set(key, i);
      return first.get(key);
    };
    for (let t = part.first_triangle; t < part.first_triangle + part.triangles; ++t) {
      const [a, b, c] = [one(index[3 * t]), one(index[3 * t + 1]), one(index[3 * t + 2])];
      if (a !== b && b !== c && c !== a) corners.push(a, b, c);
    }
    return new Uint32Array(corners);
  });
}

/** The surface with at most about `most` triangles, to be drawn while it moves; null when it has no more than that. */
export function coarser(surface, most) {
  if (surface.triangles <= most) return null;
  for (let cell = Math.max(...surface.size) / 300; ; cell *= 1.25) {
    const parts = clustered(surface, cell);
    if (parts.reduce((sum, p) => sum + p.length / 3, 0) <= most) return parts;
  }
}
