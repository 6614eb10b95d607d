// Runs inside the page: turns the construct of a report with every triangle split, one step a frame, and leaves the times of the frames.
import { fields, readField, readSurface } from '../../viz/page/src/construct_data.js';
import { ConstructView } from '../../viz/page/src/construct_view.js';
import { Results } from '../../viz/page/src/results.js';

/** Every triangle in four, part by part; neighbours share the points at the middles of edges. */
function split({ surface, displacement, shown }) {
  const positions = [...surface.positions], moved = [...displacement], values = [...shown], index = new Uint32Array(12 * surface.triangles), known = new Map();
  const middle = (a, b) => {
    const edge = a < b ? a * 2 ** 26 + b : b * 2 ** 26 + a;
    if (!known.has(edge)) {
      known.set(edge, values.length);
      for (let c = 0; c < 3; ++c) {
        positions.push((positions[3 * a + c] + positions[3 * b + c]) / 2);
        moved.push((moved[3 * a + c] + moved[3 * b + c]) / 2);
      }
      values.push((values[a] + values[b]) / 2);
    }
    return known.get(edge);
  };
  for (let t = 0; t < surface.triangles; ++t) {
    const [a, b, c] = surface.index.subarray(3 * t, 3 * t + 3), ab = middle(a, b), bc = middle(b, c), ca = middle(c, a);
    index.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 12 * t);
  }
  const parts = surface.parts.map((p) => ({ ...p, first_triangle: 4 * p.first_triangle, triangles: 4 * p.triangles }));
  return { surface: { ...surface, number: surface.number + 1, points: values.length, triangles: 4 * surface.triangles, positions: new Float32Array(positions), index, parts },
    displacement: new Float32Array(moved), shown: new Float32Array(values) };
}

/** bone: as in the page; seconds of turning; splits: 0 or 1. */
window.turning = async ({ bone, seconds, splits }) => {
  const results = new Results(document), index = await results.json('fields.json'), state = index.states.find((s) => s.operated) ?? index.states[0];
  const surface = await readSurface(results, state.surface, index.surfaces[state.surface]), values = await readField(results, state, surface.points);
  let what = { surface, displacement: values.displacement, shown: fields.von_mises.of(values) };
  if (splits) what = split(what);
  document.body.innerHTML = '<div style="width:990px"><canvas></canvas></div>';
  const view = new ConstructView(document.querySelector('canvas'), () => {});
  await new Promise((go) => setTimeout(go, 300));
  view.show({ ...what, top: 50, mirrored: state.mirrored });
  view.bone(bone);
  if (bone === 'nothing') view.scene.visible = false;
  const frames = [], start = performance.now();
  let before = 0;
  await new Promise((done) => {
    const step = (now) => {
      if (before && now - start > 2500) { // the first seconds settle the resolution
        if (!frames.length) window.frameMark();
        frames.push(now - before);
      }
      before = now;
      view.turn(0.03, 0);
      if (now - start < 2500 + 1000 * seconds) requestAnimationFrame(step);
      else done();
    };
    requestAnimationFrame(step);
  });
  const ratio = view.renderer.getPixelRatio(), drawn = view.renderer.info.render.triangles;
  await window.frameMark();
  return { frames, triangles: what.surface.triangles, drawn, ratio, size: [view.canvas.clientWidth, view.canvas.clientHeight] };
};
