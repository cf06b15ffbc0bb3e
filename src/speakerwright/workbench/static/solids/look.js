// Materials of a solid: one for each colour and state, shared by all parts, made anew per theme.

import { THREE } from "nicegui-scene";

const KINDS = {
  light: { panel: "#e6dcc8", brace: "#d8cbb0", driver: "#7b838b", horn: "#8f979e",
    fastener: "#a3a9ae", magnet: "#6f767d", other: "#c9ced2" },
  dark: { panel: "#8a7f6a", brace: "#786e5a", driver: "#59616a", horn: "#69727b",
    fastener: "#7d848b", magnet: "#4c535a", other: "#5f666d" },
};

// How much of a wall that is seen through is still there.
const CLEAR = 0.16;

// Whether there is no graphics card behind WebGL: then smooth edges wait until nothing moves.
export function drawnByProcessor() {
  const context = document.createElement("canvas").getContext("webgl2");
  if (!context) return false;
  const told = context.getExtension("WEBGL_debug_renderer_info");
  const name = told ? context.getParameter(told.UNMASKED_RENDERER_WEBGL) : "";
  context.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software/i.test(name);
}

// What kind of thing a part is, for its colour.
export function look(part) {
  const words = `${part.kind ?? ""} ${part.role ?? ""}`.toLowerCase();
  for (const kind of ["brace", "driver", "horn", "fastener", "magnet", "panel"]) {
    if (words.includes(kind)) return kind;
  }
  return part.role ? "panel" : "other";
}

export class Looks {
  constructor(palettes) {
    this.palettes = palettes;
    this.kept = new Map();
    this.plane = null; // the plane of the cut, when there is one
    this.theme = "light";
  }

  get ground() {
    return this.palettes[this.theme].ground;
  }

  tone(part) {
    const { parts } = this.palettes[this.theme];
    const own = parts[part.part] ?? (`${part.kind} ${part.role}`.includes("port") && parts.port);
    if (!own) return KINDS[this.theme][look(part)];
    // a whole surface in a curve's colour would be loud: it is let down with the ground's
    const mixed = new THREE.Color(own).lerp(new THREE.Color(this.ground.paper), 0.4);
    return `#${mixed.getHexString()}`;
  }

  get(name, make) {
    if (!this.kept.has(name)) {
      const material = make();
      this.kept.set(name, material);
    }
    const material = this.kept.get(name);
    if (material.clips !== false) material.clippingPlanes = this.plane ? [this.plane] : null;
    return material;
  }

  face(part, state, clear = false) {
    const tone = this.tone(part);
    return this.get(`face ${tone} ${state} ${clear}`, () => {
      const material = new THREE.MeshLambertMaterial({
        color: tone, flatShading: true, side: THREE.DoubleSide, polygonOffset: true,
        polygonOffsetFactor: 1, polygonOffsetUnits: 1,
        transparent: clear, opacity: clear ? CLEAR : 1, depthWrite: !clear,
      });
      const fails = this.palettes[this.theme].verdicts.fails ?? "#b3261e";
      if (state === "collides") material.color.set(fails);
      if (state === "chosen") material.emissive.set(tone).multiplyScalar(0.45);
      if (state === "hovered") material.emissive.set(tone).multiplyScalar(0.2);
      return material;
    });
  }

  edge(strong) {
    const tone = strong ? this.ground.ink : this.ground.quiet;
    return this.get(`edge ${tone}`, () => new THREE.LineBasicMaterial({ color: tone }));
  }

  // Counts, at each pixel, how often the eye's ray enters and leaves one part behind the cut.
  count(back) {
    return this.get(`count ${back}`, () => {
      const step = back ? THREE.IncrementWrapStencilOp : THREE.DecrementWrapStencilOp;
      return new THREE.MeshBasicMaterial({
        side: back ? THREE.BackSide : THREE.FrontSide, depthWrite: false, depthTest: false,
        colorWrite: false, stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
        stencilFail: step, stencilZFail: step, stencilZPass: step,
      });
    });
  }

  // The cut face, hatched: neighbours differ in the direction and the distance of the lines.
  cap(part, turn) {
    const tone = this.tone(part);
    return this.get(`cap ${tone} ${turn}`, () => {
      const material = new THREE.ShaderMaterial({
        uniforms: {
          ground: { value: new THREE.Color(tone) },
          line: { value: new THREE.Color(this.ground.ink) },
          turn: { value: turn % 2 ? -1 : 1 },
          gap: { value: turn < 2 ? 8 : 11 },
        },
        vertexShader: "void main() { gl_Position = projectionMatrix * modelViewMatrix"
          + " * vec4(position, 1.0); }",
        fragmentShader: `uniform vec3 ground; uniform vec3 line; uniform float turn;
          uniform float gap;
          void main() {
            float at = mod(gl_FragCoord.x + turn * gl_FragCoord.y, gap);
            gl_FragColor = vec4(at < 1.4 ? mix(ground, line, 0.6) : ground, 1.0);
            #include <colorspace_fragment>
          }`,
        side: THREE.DoubleSide, stencilWrite: true, stencilRef: 0,
        stencilFunc: THREE.NotEqualStencilFunc, stencilFail: THREE.ZeroStencilOp,
        stencilZFail: THREE.ZeroStencilOp, stencilZPass: THREE.ZeroStencilOp,
      });
      material.clips = false;
      return material;
    });
  }

  dispose() {
    for (const material of this.kept.values()) material.dispose();
    this.kept.clear();
  }
}
