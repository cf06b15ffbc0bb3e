// The solid on the page: parts, camera, cut, explosion, picking. Drawn only when something moved.

import { OrbitControls, THREE } from "nicegui-scene";

import { drawnByProcessor, Looks } from "./look.js";

const AXES = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
// Which half the cut takes away: the right, the front, the top; then one sees into the box.
const AWAY = { x: 1, y: -1, z: 1 };
// Directions from the middle to the eye, as turn about z and height above the floor, degrees.
export const VIEWS = { front: [-90, 0], side: [0, 0], top: [-90, 89.99], iso: [-58, 24] };
const SNAP_PX = 12;
const RESTS_MS = 200;

// Whether a cabinet has grown or shrunk so much that the picture no longer fits it.
function outgrown(before, now) {
  return ["x", "y", "z"].some((axis) => Math.abs(now[axis] / before[axis] - 1) > 0.1);
}

export class View {
  constructor(canvas, palettes, drawn) {
    this.canvas = canvas;
    this.drawn = drawn;
    this.slow = drawnByProcessor();
    const context = canvas.getContext("webgl2", {
      antialias: !this.slow, stencil: true, alpha: true,
    });
    if (!context) throw new Error("no WebGL");
    this.renderer = new THREE.WebGLRenderer({ canvas, context });
    this.renderer.localClippingEnabled = true;
    this.looks = new Looks(palettes);
    this.scene = new THREE.Scene();
    this.camera = new THREE.OrthographicCamera(-1, 1, 1, -1, 0.1, 10);
    this.camera.up.set(0, 0, 1);
    this.scene.add(this.camera);
    const sky = new THREE.HemisphereLight(0xffffff, 0xb8b2a8, 2.1);
    sky.position.set(0, 0, 1);
    this.scene.add(sky);
    const lamp = new THREE.DirectionalLight(0xffffff, 1.3);
    lamp.position.set(-0.6, 0.5, 1);
    this.camera.add(lamp);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.enableZoom = false;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => this.invalidate());
    this.quad = new THREE.PlaneGeometry(1, 1);
    this.pieces = [];
    this.collisions = [];
    this.explode = 0;
    this.cut = null;
    this.through = false;
    this.chosen = null;
    this.hovered = null;
    this.marks = [];
    this.frame = 0;
    this.paints = 0;
    this.bounds = new THREE.Box3();
    this.ray = new THREE.Raycaster();
  }

  // Put other parts in place of those that are there, and free what those held.
  show(parts, collisions) {
    const first = this.pieces.length === 0;
    this.clear();
    this.collisions = collisions;
    const fouled = new Set(collisions.flatMap(({ names }) => names));
    this.pieces = parts.map((part, number) => this.piece(part, number, fouled.has(part.name)));
    const before = this.bounds.getSize(new THREE.Vector3());
    this.bounds.makeEmpty();
    for (const { box } of this.pieces) this.bounds.union(box);
    const now = this.bounds.getSize(new THREE.Vector3());
    if (!this.pieces.some(({ part }) => part.name === this.chosen)) this.chosen = null;
    this.hovered = null;
    this.arrange();
    if (first) this.turnTo("iso");
    else if (this.camera.zoom === 1 && outgrown(before, now)) this.fit();
  }

  piece(part, number, collides) {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(part.positions, 3));
    geometry.setIndex(new THREE.BufferAttribute(part.indices, 1));
    geometry.computeBoundingBox();
    geometry.computeBoundingSphere();
    const lines = new THREE.BufferGeometry();
    lines.setAttribute("position", geometry.getAttribute("position"));
    lines.setIndex(new THREE.BufferAttribute(part.edges, 1));
    const group = new THREE.Group();
    const mesh = new THREE.Mesh(geometry);
    const outline = new THREE.LineSegments(lines);
    const [back, front] = [new THREE.Mesh(geometry), new THREE.Mesh(geometry)];
    const cap = new THREE.Mesh(this.quad);
    back.renderOrder = 10 + 3 * number;
    front.renderOrder = 11 + 3 * number;
    cap.renderOrder = 12 + 3 * number;
    group.add(mesh, outline, back, front);
    this.scene.add(group, cap);
    return { part, group, mesh, outline, back, front, cap, collides, number,
      box: geometry.boundingBox.clone(), geometry, lines };
  }

  clear() {
    for (const { group, cap, geometry, lines } of this.pieces) {
      this.scene.remove(group, cap);
      geometry.dispose();
      lines.dispose();
    }
    this.pieces = [];
  }

  // Explosion, cut and colours as they are set now.
  arrange() {
    const middle = this.bounds.getCenter(new THREE.Vector3());
    this.spread = new THREE.Box3();
    for (const piece of this.pieces) {
      piece.group.position.copy(this.wayOut(piece, middle)).multiplyScalar(this.explode);
      piece.now = piece.box.clone().translate(piece.group.position);
      this.spread.union(piece.now);
    }
    this.looks.plane = this.cutPlane();
    for (const piece of this.pieces) {
      this.dress(piece);
      this.cover(piece);
    }
    this.invalidate();
  }

  // Away from the middle; what is let into an outer face from outside comes out ahead of it.
  wayOut({ box, part }, middle) {
    const way = box.getCenter(new THREE.Vector3()).sub(middle);
    if (part.kind === "panel") return way;
    for (const axis of ["x", "y", "z"]) {
      const reach = 0.02 * (this.bounds.max[axis] - this.bounds.min[axis]) + 1;
      const low = box.min[axis] - this.bounds.min[axis] < reach;
      const high = this.bounds.max[axis] - box.max[axis] < reach;
      if (low === high) continue;
      const face = (low ? this.bounds.min : this.bounds.max)[axis];
      return way.set(0, 0, 0).setComponent("xyz".indexOf(axis), 1.6 * (face - middle[axis]));
    }
    return way;
  }

  cutPlane() {
    if (!this.cut || this.spread.isEmpty()) return null;
    const { axis, at } = this.cut;
    const low = this.spread.min[axis];
    const place = low + at * (this.spread.max[axis] - low);
    const side = AWAY[axis];
    this.cutAt = place;
    return new THREE.Plane(new THREE.Vector3(...AXES[axis]).multiplyScalar(-side), side * place);
  }

  dress(piece) {
    const { part } = piece;
    const state = piece.collides ? "collides" : part.name === this.chosen ? "chosen"
      : part.name === this.hovered ? "hovered" : "plain";
    const clear = this.through && part.outer && state !== "collides";
    piece.mesh.material = this.looks.face(part, state, clear);
    piece.mesh.renderOrder = clear ? 1 : 0;
    piece.outline.material = this.looks.edge(state !== "plain");
  }

  // The hatched face where the cut goes through a part.
  cover(piece) {
    const { plane } = this.looks;
    const axis = this.cut?.axis;
    const through = plane !== null && piece.now.min[axis] < this.cutAt
      && piece.now.max[axis] > this.cutAt;
    for (const mesh of [piece.back, piece.front, piece.cap]) mesh.visible = through;
    if (!through) return;
    piece.back.material = this.looks.count(true);
    piece.front.material = this.looks.count(false);
    piece.cap.material = this.looks.cap(piece.part, piece.number % 4);
    const reach = 2.1 * piece.geometry.boundingSphere.radius;
    piece.now.getCenter(piece.cap.position)[axis] = this.cutAt;
    piece.cap.scale.set(reach, reach, 1);
    piece.cap.lookAt(piece.cap.position.clone().add(plane.normal));
  }

  setTheme(dark) {
    this.looks.theme = dark ? "dark" : "light";
    this.looks.dispose();
    this.renderer.setClearColor(this.looks.ground.paper);
    this.arrange();
    this.mark(this.marks);
  }

  setCut(axis, at) {
    this.cut = axis ? { axis, at } : null;
    this.arrange();
  }

  // Move the cut by so much, mm; where it is then, as a share of the way through.
  slideCut(by) {
    const { axis } = this.cut;
    const low = this.spread.min[axis];
    const at = (this.cutAt + by - low) / (this.spread.max[axis] - low);
    this.setCut(axis, Math.max(0, Math.min(1, at)));
    return this.cut.at;
  }

  // Whether a pixel shows a cut face: there one sees a part's far side from within.
  onCap(x, y) {
    if (!this.cut || !this.size) return false;
    const hit = this.cast(x, y)[0];
    return Boolean(hit) && this.looks.plane !== null
      && hit.face.normal.dot(this.ray.ray.direction) > 0;
  }

  // How far along the cut's axis a hand has moved that went so many pixels to the right and down.
  alongCut(right, down) {
    const way = new THREE.Vector3(...AXES[this.cut.axis]);
    const [ax, ay] = this.toScreen(this.controls.target);
    const [bx, by] = this.toScreen(this.controls.target.clone().add(way));
    const square = (bx - ax) ** 2 + (by - ay) ** 2;
    const perMm = 1 / this.perPixel();
    if (square < (0.15 * perMm) ** 2) return -down * this.perPixel() * AWAY[this.cut.axis];
    return (right * (bx - ax) + down * (by - ay)) / square;
  }

  setThrough(on) {
    this.through = on;
    this.arrange();
  }

  setExplode(factor) {
    this.explode = factor;
    this.arrange();
  }

  choose(name) {
    this.chosen = name;
    for (const piece of this.pieces) this.dress(piece);
    this.invalidate();
  }

  hover(name) {
    if (name === this.hovered) return;
    this.hovered = name;
    for (const piece of this.pieces) this.dress(piece);
    this.invalidate();
  }

  resize(width, height) {
    if (!(width > 0 && height > 0)) return;
    this.size = { width, height };
    this.renderer.setSize(width, height, false);
    this.aim();
    this.renderNow();
  }

  // Keep what is seen to scale when the window changes; `half` is half the height, mm.
  aim() {
    if (!this.size) return;
    const half = this.half ?? 1;
    const wide = (half * this.size.width) / this.size.height;
    Object.assign(this.camera, { left: -wide, right: wide, top: half, bottom: -half });
    this.camera.updateProjectionMatrix();
  }

  direction() {
    const away = this.camera.position.clone().sub(this.controls.target);
    const turn = THREE.MathUtils.radToDeg(Math.atan2(away.y, away.x));
    const rise = THREE.MathUtils.radToDeg(Math.asin(away.z / Math.max(1e-9, away.length())));
    return [turn, rise];
  }

  // Look from a direction, in degrees, at the point that is in the middle now.
  lookFrom(turn, rise) {
    const [a, b] = [turn, Math.max(-89.99, Math.min(89.99, rise))].map(THREE.MathUtils.degToRad);
    const away = new THREE.Vector3(Math.cos(b) * Math.cos(a), Math.cos(b) * Math.sin(a),
      Math.sin(b));
    this.camera.position.copy(this.controls.target).addScaledVector(away, this.reach ?? 1);
    this.controls.update();
    this.invalidate();
  }

  turn(right, up) {
    const [turn, rise] = this.direction();
    this.lookFrom(turn + right, rise + up);
  }

  turnTo(name) {
    this.fit(...VIEWS[name]);
  }

  zoom(factor) {
    this.camera.zoom = Math.max(0.2, Math.min(40, this.camera.zoom * factor));
    this.camera.updateProjectionMatrix();
    this.invalidate();
  }

  // The whole of it, from where the eye is or from a direction.
  fit(turn, rise) {
    if (!this.spread || this.spread.isEmpty()) return;
    const from = turn === undefined ? this.direction() : [turn, rise];
    const ball = this.spread.getBoundingSphere(new THREE.Sphere());
    const radius = Math.max(ball.radius, 1);
    this.reach = 4 * radius;
    Object.assign(this.camera, { near: 0.5 * radius, far: 9 * radius, zoom: 1 });
    this.controls.target.copy(ball.center);
    this.half = radius;
    this.lookFrom(...from);
    this.camera.updateMatrixWorld();
    const seen = this.extent();
    if (this.size) {
      this.half = 1.08 * Math.max(seen.y, (seen.x * this.size.height) / this.size.width);
    }
    this.aim();
    this.invalidate();
  }

  // Half width and half height of the parts as the eye sees them, mm, about the target.
  extent() {
    const found = new THREE.Vector2(1, 1);
    const turned = new THREE.Matrix4().copy(this.camera.matrixWorld).invert();
    const { min, max } = this.spread;
    for (let k = 0; k < 8; k++) {
      const corner = new THREE.Vector3(k & 1 ? min.x : max.x, k & 2 ? min.y : max.y,
        k & 4 ? min.z : max.z).applyMatrix4(turned);
      found.set(Math.max(found.x, Math.abs(corner.x)), Math.max(found.y, Math.abs(corner.y)));
    }
    return found;
  }

  // All that lies under a pixel, the nearest first; what the cut has taken away does not count.
  cast(x, y) {
    this.ray.setFromCamera(new THREE.Vector2((2 * x) / this.size.width - 1,
      1 - (2 * y) / this.size.height), this.camera);
    const { plane } = this.looks;
    return this.ray.intersectObjects(this.pieces.map(({ mesh }) => mesh), false)
      .filter(({ point }) => !plane || plane.distanceToPoint(point) >= -1e-6);
  }

  // What lies under a pixel: {piece, point, corner}; through walls that are seen through.
  pick(x, y) {
    if (!this.size) return null;
    const hits = this.cast(x, y).map((hit) => ({ hit,
      piece: this.pieces.find(({ mesh }) => mesh === hit.object) }));
    const found = (this.through && hits.find(({ piece }) => !piece.part.outer)) || hits[0];
    if (!found) return null;
    const { hit, piece } = found;
    return { piece, point: hit.point, corner: this.corner(piece, x, y, hit.point) };
  }

  // The corner of a part near a pixel, or the point itself.
  corner(piece, x, y, point) {
    const { positions, edges } = piece.part;
    let found = point;
    let least = SNAP_PX;
    const place = new THREE.Vector3();
    for (const k of edges) {
      place.fromArray(positions, 3 * k).add(piece.group.position);
      if (place.distanceTo(point) > 6 * this.perPixel() * SNAP_PX) continue;
      const [px, py] = this.toScreen(place);
      const away = Math.hypot(px - x, py - y);
      if (away < least) {
        least = away;
        found = place.clone();
      }
    }
    return found;
  }

  perPixel() {
    return (2 * (this.half ?? 1)) / this.camera.zoom / (this.size?.height ?? 1);
  }

  toScreen(point) {
    const seen = point.clone().project(this.camera);
    return [((seen.x + 1) / 2) * this.size.width, ((1 - seen.y) / 2) * this.size.height];
  }

  // Show measured points and the line between them, over everything.
  mark(points) {
    this.marks = points;
    if (this.markLine) {
      this.scene.remove(this.markLine);
      this.markLine.geometry.dispose();
      this.markLine.material.dispose();
      this.markLine = null;
    }
    if (points.length) {
      const shape = new THREE.BufferGeometry().setFromPoints(
        points.length > 1 ? points : [points[0], points[0]]);
      this.markLine = new THREE.Line(shape, new THREE.LineBasicMaterial({
        color: this.looks.ground.ink, depthTest: false,
      }));
      this.markLine.renderOrder = 1e6;
      this.scene.add(this.markLine);
    }
    this.invalidate();
  }

  middleOf(names) {
    const boxes = this.pieces.filter(({ part }) => names.includes(part.name))
      .map(({ now }) => now);
    if (!boxes.length) return null;
    const common = boxes.slice(1).reduce((a, b) => a.intersect(b), boxes[0].clone());
    return (common.isEmpty() ? boxes[0] : common).getCenter(new THREE.Vector3());
  }

  invalidate() {
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => this.renderNow());
  }

  renderNow() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    clearTimeout(this.rest);
    if (!this.size) return;
    this.render(this.slow ? 1 : Math.min(window.devicePixelRatio || 1, 2));
    if (this.slow) this.rest = setTimeout(() => this.render(2), RESTS_MS);
    this.drawn();
  }

  render(ratio) {
    if (this.renderer.getPixelRatio() !== ratio) this.renderer.setPixelRatio(ratio);
    this.camera.updateMatrixWorld();
    this.renderer.render(this.scene, this.camera);
    this.paints += 1;
  }

  // How much the graphics system holds for us.
  memory() {
    const { geometries, textures } = this.renderer.info.memory;
    return { geometries, textures, programs: this.renderer.info.programs.length,
      materials: this.looks.kept.size };
  }

  close() {
    clearTimeout(this.rest);
    this.mark([]);
    cancelAnimationFrame(this.frame);
    this.clear();
    this.looks.dispose();
    this.quad.dispose();
    this.controls.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
  }
}
