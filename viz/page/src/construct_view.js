// The construct in WebGL (three.js): surfaces of the parts, bone that can be seen through or cut away, a deformed shape.
// Drawn once a frame and only when something changed. While it moves slowly for want of a graphics card, fewer triangles, then fewer pixels are drawn.
import { Box3, BufferAttribute, BufferGeometry, Mesh, MeshBasicMaterial, PerspectiveCamera, Plane, Raycaster, Scene, SphereGeometry, Vector2, Vector3, WebGLRenderer } from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { coarser, colours, isBone } from './construct_data.js';
import { Pace } from './pace.js';
import { surfaceMaterial } from './surface_material.js';

const opening = 28; // of the camera, degrees
const fewTriangles = 16000; // about what a processor alone draws in time

export class ConstructView {
  #meshes = [];
  #bone = { how: 'clear', at: 0 };
  #surface = null;
  #times = 0;
  #asked = false;

  /** The canvas fills the width of its parent. told(part, point): what the pointer is on. Throws where WebGL is missing. */
  constructor(canvas, told) {
    this.canvas = canvas;
    this.told = told;
    const context = canvas.getContext('webgl2', { alpha: false, antialias: false, powerPreference: 'high-performance' });
    if (!context) throw new Error('no WebGL');
    this.renderer = new WebGLRenderer({ canvas, context, antialias: false });
    this.renderer.localClippingEnabled = true;
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(opening, 1, 1, 3000);
    this.camera.up.set(0, 0, 1);
    this.plane = new Plane(new Vector3(0, -1, 0), 0);
    this.mark = new Mesh(new SphereGeometry(0.7, 12, 8), new MeshBasicMaterial({ color: 0xd6004c, depthTest: false, transparent: true }));
    this.mark.renderOrder = 2;
    this.mark.visible = false;
    this.scene.add(this.mark);
    this.pace = new Pace(() => this.#drawFor(this.pace));
    this.#controls();
    new ResizeObserver(() => this.#resize()).observe(canvas.parentElement);
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.draw());
  }
  #controls() {
    const { canvas } = this;
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableZoom = false; // until it is used: the wheel belongs to the page
    this.controls.addEventListener('change', () => this.#moved());
    canvas.addEventListener('pointerdown', () => canvas.focus({ preventScroll: true }));
    canvas.addEventListener('focus', () => { this.controls.enableZoom = true; });
    canvas.addEventListener('blur', () => { this.controls.enableZoom = false; });
    canvas.addEventListener('keydown', (event) => this.#key(event));
    canvas.addEventListener('pointermove', (event) => { if (!event.buttons) this.#hover(event); });
    canvas.addEventListener('click', (event) => this.#hover(event));
  }

  /** shown: a value a point; top: where the colour scale ends. */
  show({ surface, displacement, shown, top, mirrored }) {
    const changed = this.#surface?.number !== surface.number;
    this.#surface = surface;
    this.displacement = displacement;
    this.mirrored = mirrored;
    if (changed) this.#build();
    this.geometry.setAttribute('color', new BufferAttribute(colours(shown, top), 3, true));
    this.#deform();
    this.bone(this.#bone.how, this.#bone.at);
    if (changed) this.from('inner');
  }
  #build() {
    for (const mesh of this.#meshes) this.scene.remove(mesh);
    const { positions, index, parts } = this.#surface;
    this.geometry?.dispose();
    this.geometry = new BufferGeometry();
    this.geometry.setAttribute('position', new BufferAttribute(positions.slice(), 3));
    this.geometry.setIndex(new BufferAttribute(index, 1));
    this.geometry.computeVertexNormals(); // points are doubled between parts, so each part has its own
    this.#meshes = parts.map((part) => {
      const geometry = new BufferGeometry(), from = 3 * part.first_triangle;
      geometry.setIndex(new BufferAttribute(index.subarray(from, from + 3 * part.triangles), 1));
      const mesh = new Mesh(geometry, surfaceMaterial());
      mesh.name = part.name;
      mesh.frustumCulled = false;
      this.scene.add(mesh);
      return mesh;
    });
    this.mark.visible = false;
    this.fine = null;
  }
  /** While it moves: the triangles of each part merged to fewer, made when first needed. */
  #triangles(coarse) {
    if (coarse && !this.fine) {
      this.fine = this.#meshes.map((mesh) => mesh.geometry.index);
      this.few = coarser(this.#surface, fewTriangles)?.map((corners) => new BufferAttribute(corners, 1)) ?? this.fine;
    }
    if (this.fine) this.#meshes.forEach((mesh, i) => mesh.geometry.setIndex((coarse ? this.few : this.fine)[i]));
  }
  /** The shape `times` as far from the unloaded one as computed. */
  deform(times) {
    this.#times = times;
    this.#deform();
    this.ask();
  }
  #deform() {
    const position = this.geometry.getAttribute('position'), at = this.#surface.positions;
    for (let i = 0; i < at.length; ++i) position.array[i] = at[i] + this.#times * this.displacement[i];
    position.needsUpdate = true;
    for (const { geometry } of this.#meshes) {
      for (const name of ['position', 'normal', 'color']) geometry.setAttribute(name, this.geometry.getAttribute(name));
      geometry.boundingSphere = null;
    }
    if (this.mark.visible) this.#place(this.mark.userData.point);
  }
  /** how: clear, full, none, or cut: what lies further to the inner side than `at` mm is taken away. */
  bone(how, at = 0) {
    this.#bone = { how, at };
    const plain = this.#meshes.every((m) => isBone(m.name));
    this.plane.set(new Vector3(0, this.mirrored ? 1 : -1, 0), at);
    for (const mesh of this.#meshes.filter((m) => isBone(m.name))) {
      const clear = how === 'clear' && !plain, { uniforms } = mesh.material;
      mesh.visible = (how !== 'none' || plain) && !(clear && mesh.name.startsWith('cancellous'));
      uniforms.tinted.value = clear ? 1 : 0;
      uniforms.opacity.value = clear ? 0.3 : 1;
      mesh.material.transparent = clear;
      mesh.material.depthWrite = !clear;
      mesh.material.clippingPlanes = how === 'cut' ? [this.plane] : [];
      mesh.material.needsUpdate = true;
    }
    this.ask();
  }

  // camera
  #box(wanted) {
    const box = new Box3(), point = new Vector3();
    for (const part of this.#surface.parts.filter(wanted))
      for (let i = 3 * part.first_triangle; i < 3 * (part.first_triangle + part.triangles); ++i) box.expandByPoint(point.fromArray(this.#surface.positions, 3 * this.#surface.index[i]));
    return box;
  }
  /** side: inner, outer, front, back; near the metal, or the whole bone. */
  from(side, whole = false) {
    const inner = this.mirrored ? -1 : 1, box = whole ? this.#box(() => true) : this.#box((p) => !isBone(p.name));
    if (box.isEmpty()) return this.from(side, true);
    const way = { inner: [0.35, 0.9 * inner, 0.15], outer: [0.35, -0.9 * inner, 0.15], front: [1, 0.01 * inner, 0.1], back: [-1, 0.01 * inner, 0.1] }[side];
    const size = box.getSize(new Vector3()), wide = Math.max(size.z, Math.hypot(size.x, size.y) / Math.min(this.camera.aspect, 1));
    const away = (0.68 * wide) / Math.tan((opening * Math.PI) / 360);
    this.#stand(box.getCenter(new Vector3()), new Vector3(...way).normalize().multiplyScalar(away));
    this.side = side;
  }
  #stand(target, arm) {
    this.controls.target.copy(target);
    this.camera.position.copy(target).add(arm);
    this.controls.update();
    this.#moved();
  }
  #place(point) {
    this.mark.position.fromArray(this.geometry.getAttribute('position').array, 3 * point);
    this.mark.userData.point = point;
    this.mark.visible = true;
  }
  /** Turns to a point of the surface and marks it. */
  look(point) {
    this.#place(point);
    const out = new Vector3().fromArray(this.geometry.getAttribute('normal').array, 3 * point), now = this.camera.position.clone().sub(this.controls.target).normalize();
    const away = (0.3 * this.#surface.size[2]) / Math.tan((opening * Math.PI) / 360) / 2;
    this.#stand(this.mark.position.clone(), out.multiplyScalar(1.5).add(now).normalize().multiplyScalar(away));
  }
  turn(about, tilt, nearer = 1) {
    const arm = this.camera.position.clone().sub(this.controls.target), far = arm.length() * nearer;
    const azimuth = Math.atan2(arm.y, arm.x) + about, height = Math.min(Math.max(Math.atan2(arm.z, Math.hypot(arm.x, arm.y)) + tilt, -1.5), 1.5);
    this.#stand(this.controls.target.clone(), new Vector3(Math.cos(height) * Math.cos(azimuth), Math.cos(height) * Math.sin(azimuth), Math.sin(height)).multiplyScalar(far));
  }
  #key(event) {
    const moves = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, 0.12], ArrowDown: [0, -0.12], '+': [0, 0, 0.9], '=': [0, 0, 0.9], '-': [0, 0, 1 / 0.9] };
    if (!moves[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.turn(...moves[event.key]);
  }

  // drawing
  ask() {
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame((now) => {
      this.#asked = false;
      this.pace.frame(now);
      this.draw();
    });
  }
  #moved() {
    this.pace.moved();
    this.ask();
  }
  #drawFor({ moving, coarse, ratio }) {
    this.#triangles(moving && coarse);
    this.#resolution(moving ? ratio : Math.min(Math.max(devicePixelRatio, 2), 3));
    this.ask();
  }
  #resolution(ratio) {
    if (this.width && this.renderer.getPixelRatio() !== ratio) this.renderer.setPixelRatio(ratio);
  }
  draw() {
    if (!this.width) return;
    this.renderer.setClearColor(getComputedStyle(document.documentElement).getPropertyValue('--panel').trim());
    this.renderer.render(this.scene, this.camera);
  }
  #resize() {
    const box = this.canvas.parentElement;
    if (!box || box.clientWidth === 0 || box.clientWidth === this.width) return;
    this.width = box.clientWidth;
    const height = Math.min(560, Math.max(320, 0.7 * this.width));
    this.renderer.setPixelRatio(Math.min(Math.max(devicePixelRatio, 2), 3));
    this.renderer.setSize(this.width, height);
    this.camera.aspect = this.width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }
  /** PNG of what is seen. */
  picture() {
    this.draw();
    return this.canvas.toDataURL('image/png');
  }
  #hover(event) {
    if (!this.#surface) return;
    const box = this.canvas.getBoundingClientRect(), ray = new Raycaster();
    ray.setFromCamera(new Vector2((2 * (event.clientX - box.left)) / box.width - 1, 1 - (2 * (event.clientY - box.top)) / box.height), this.camera);
    const cut = (hit) => hit.object.material.clippingPlanes?.some((p) => p.distanceToPoint(hit.point) < 0);
    const hit = ray.intersectObjects(this.#meshes.filter((m) => m.visible && !m.material.transparent)).find((h) => !cut(h));
    if (!hit) return;
    const positions = this.geometry.getAttribute('position').array, far = (i) => hit.point.distanceToSquared(new Vector3().fromArray(positions, 3 * i));
    this.told(hit.object.name, [hit.face.a, hit.face.b, hit.face.c].reduce((a, b) => (far(b) < far(a) ? b : a)));
  }
}
