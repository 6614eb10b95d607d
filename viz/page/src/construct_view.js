// The construct in WebGL (three.js): surfaces of the parts, one colour scale, bone that can be cut away.
import { AmbientLight, BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, Mesh, MeshLambertMaterial, PerspectiveCamera, Plane, Raycaster, Scene, Vector2, Vector3, WebGLRenderer } from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { figure, spaced } from './dom.js';

// Dark blue over green to yellow, even in lightness: larger is lighter (as in the pictures of the results folder).
const scale = [[0.16, 0.10, 0.36], [0.16, 0.30, 0.56], [0.12, 0.48, 0.55], [0.20, 0.66, 0.48], [0.57, 0.80, 0.25], [0.99, 0.91, 0.22]];
const isBone = (part) => part.startsWith('cortex') || part.startsWith('cancellous');

function coloured(t, into, at) {
  const x = Math.min(Math.max(t, 0), 1) * (scale.length - 1), i = Math.min(Math.floor(x), scale.length - 2), f = x - i;
  for (let c = 0; c < 3; ++c) into[at + c] = scale[i][c] + f * (scale[i + 1][c] - scale[i][c]);
}

export async function readSurface(results, number, described) {
  const bytes = await results.bytes(`surface/${number}`), view = new DataView(bytes.buffer, bytes.byteOffset);
  const positions = new Float32Array(3 * described.points), index = new Uint32Array(3 * described.triangles);
  for (let i = 0; i < positions.length; ++i) positions[i] = described.low[i % 3] + (view.getUint16(2 * i, true) / 65535) * described.size[i % 3];
  let before = 0;
  for (let i = 0; i < index.length; ++i) index[i] = before += view.getInt32(2 * positions.length + 4 * i, true);
  return { positions, index };
}

export async function readField(results, number, points, unit) {
  const bytes = await results.bytes(`field/${number}`), view = new DataView(bytes.buffer, bytes.byteOffset);
  const vonMises = new Float32Array(points), displacement = new Float32Array(3 * points), size = new Float32Array(points);
  for (let i = 0; i < points; ++i) vonMises[i] = view.getFloat32(4 * i, true);
  for (let i = 0; i < 3 * points; ++i) displacement[i] = view.getInt16(4 * points + 2 * i, true) * unit;
  for (let i = 0; i < points; ++i) size[i] = Math.hypot(displacement[3 * i], displacement[3 * i + 1], displacement[3 * i + 2]);
  return { vonMises, displacement, size };
}

export class ConstructView {
  #meshes = [];
  #boneState = 'clear';
  #surface = null;

  constructor(canvas, tell) {
    this.canvas = canvas;
    this.tell = tell;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
    this.renderer.localClippingEnabled = true;
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(28, 1, 1, 2000);
    this.camera.up.set(0, 0, 1);
    this.scene.add(new AmbientLight(0xffffff, 1.6));
    this.lamp = new DirectionalLight(0xffffff, 1.8);
    this.scene.add(this.lamp);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.addEventListener('change', () => this.draw());
    this.half = new Plane(new Vector3(0, -1, 0), 0);
    canvas.addEventListener('keydown', (event) => this.#key(event));
    canvas.addEventListener('pointermove', (event) => this.#hover(event));
    new ResizeObserver(() => this.#resize()).observe(canvas.parentElement ?? canvas);
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.draw());
  }

  show(described, surface, values, field, unit) {
    const shown = field === 'von_mises' ? values.vonMises : values.size;
    this.values = { shown, unit, field };
    this.described = described;
    this.top = this.#topOf(described, surface, shown);
    if (this.#surface !== surface) this.#build(described, surface);
    const colours = new Float32Array(3 * described.points);
    for (let i = 0; i < described.points; ++i) coloured(shown[i] / this.top, colours, 3 * i);
    for (const mesh of this.#meshes) mesh.geometry.setAttribute('color', new BufferAttribute(colours, 3));
    this.bone(this.#boneState);
    this.#resize();
  }
  /** Top of the scale: the value that one point in 500 of the metal passes (of everything where there is none). */
  #topOf(described, surface, shown) {
    const metal = described.parts.filter((p) => !isBone(p.name)), parts = metal.length ? metal : described.parts, all = [];
    for (const p of parts) for (let i = 3 * p.first_triangle; i < 3 * (p.first_triangle + p.triangles); ++i) all.push(shown[surface.index[i]]);
    all.sort((a, b) => a - b);
    return all[Math.floor(0.998 * (all.length - 1))] || 1;
  }
  #build(described, surface) {
    for (const mesh of this.#meshes) this.scene.remove(mesh);
    this.#surface = surface;
    const position = new BufferAttribute(surface.positions, 3);
    this.#meshes = described.parts.map((part) => {
      const geometry = new BufferGeometry();
      geometry.setAttribute('position', position);
      geometry.setIndex(new BufferAttribute(surface.index.subarray(3 * part.first_triangle, 3 * (part.first_triangle + part.triangles)), 1));
      geometry.computeVertexNormals();
      const mesh = new Mesh(geometry, new MeshLambertMaterial({ vertexColors: true, side: DoubleSide }));
      mesh.name = part.name;
      this.scene.add(mesh);
      return mesh;
    });
    const { low, size } = described, metal = described.parts.some((p) => !isBone(p.name));
    this.target = new Vector3(low[0] + size[0] / 2, low[1] + size[1] / 2, metal ? low[2] + 0.78 * size[2] : low[2] + size[2] / 2);
    const away = (metal ? 0.75 : 1.5) * size[2] / Math.tan((28 * Math.PI) / 360) / 1.4;
    this.controls.target.copy(this.target);
    this.camera.position.copy(this.target).add(new Vector3(0.35, 0.9, 0.15).normalize().multiplyScalar(away));
    this.controls.update();
  }
  bone(how) {
    this.#boneState = how;
    const coloured = !this.#meshes.some((m) => !isBone(m.name));
    for (const mesh of this.#meshes) {
      if (!isBone(mesh.name)) continue;
      const clear = how === 'clear' && !coloured, m = mesh.material;
      mesh.visible = how !== 'none' || coloured;
      m.vertexColors = !clear;
      m.color = new Color(clear ? 0xe6d9bd : 0xffffff);
      m.transparent = clear;
      m.opacity = clear ? 0.28 : 1;
      m.depthWrite = !clear;
      m.clippingPlanes = how === 'half' ? [this.half] : [];
      m.needsUpdate = true;
      if (clear && mesh.name.startsWith('cancellous')) mesh.visible = false;
    }
    this.draw();
  }
  draw() {
    this.renderer.setClearColor(getComputedStyle(document.documentElement).getPropertyValue('--panel').trim());
    this.lamp.position.copy(this.camera.position);
    this.renderer.render(this.scene, this.camera);
  }
  #resize() {
    const box = this.canvas.parentElement;
    if (!box || box.clientWidth === 0) return;
    const width = box.clientWidth, height = Math.min(560, Math.max(320, 0.7 * width));
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(width, height);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }
  #key(event) {
    const turns = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] }, zooms = { '+': 0.9, '=': 0.9, '-': 1 / 0.9 };
    const arm = this.camera.position.clone().sub(this.controls.target);
    if (turns[event.key]) {
      const [about, tilt] = turns[event.key], flat = Math.hypot(arm.x, arm.y), azimuth = Math.atan2(arm.y, arm.x) + about;
      const height = Math.min(Math.max(Math.atan2(arm.z, flat) - tilt, -1.5), 1.5), far = arm.length();
      arm.set(far * Math.cos(height) * Math.cos(azimuth), far * Math.cos(height) * Math.sin(azimuth), far * Math.sin(height));
    } else if (zooms[event.key]) arm.multiplyScalar(zooms[event.key]);
    else return;
    event.preventDefault();
    this.camera.position.copy(this.controls.target).add(arm);
    this.controls.update();
    this.draw();
  }
  #hover(event) {
    if (!this.#surface) return;
    const box = this.canvas.getBoundingClientRect(), ray = new Raycaster();
    ray.setFromCamera(new Vector2((2 * (event.clientX - box.left)) / box.width - 1, 1 - (2 * (event.clientY - box.top)) / box.height), this.camera);
    const hits = ray.intersectObjects(this.#meshes.filter((m) => m.visible && !(m.material.transparent)));
    const hit = hits[0];
    if (!hit) return;
    const corners = [hit.face.a, hit.face.b, hit.face.c], positions = this.#surface.positions;
    const far = (i) => hit.point.distanceToSquared(new Vector3(positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]));
    const corner = corners.reduce((a, b) => (far(b) < far(a) ? b : a));
    this.tell(`${spaced(hit.object.name)}: ${figure(this.values.shown[corner])} ${this.values.unit} at the nearest corner of the mesh.`);
  }
}
