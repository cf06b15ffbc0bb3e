// The element on the page: the solid, the standard views, cut, see-through, explosion, measure,
// parts by name.

import { linked, styles } from "speakerwright-plot";
import { length, unpack, View } from "speakerwright-solids";

const LEAST_GAP_MS = 250; // at most four reloads a second
const STEP_MM = 5; // one key's move of the cut
const TAG_PX = 24; // a line of words over the picture
const MORE = `
.sw-solid canvas { width: 100%; height: 100%; cursor: grab; touch-action: none; }
.sw-solid canvas.sw-measuring { cursor: crosshair; }
.sw-solid canvas.sw-sliding { cursor: move; }
.sw-solid .sw-place { overflow: hidden; border: 1px solid var(--sw-grid); border-radius: 2px; }
.sw-solid .sw-tag { position: absolute; transform: translate(-50%, -130%); white-space: nowrap;
  pointer-events: none; padding: 0.05rem 0.4rem; border-radius: 3px; color: var(--sw-paper);
  background: var(--sw-ink); font-variant-numeric: tabular-nums; }
.sw-solid .sw-tag.sw-fails { background: var(--sw-fails); }
.sw-solid .sw-bar { display: flex; flex-wrap: wrap; align-items: center; gap: 0.2rem 1rem;
  padding-top: 0.3rem; }
.sw-solid .sw-bar label { display: flex; align-items: center; gap: 0.4rem;
  color: var(--sw-quiet); }
.sw-solid .sw-bar output { color: var(--sw-ink); min-width: 4.5rem; }
.sw-solid :is(select, input[type="range"]) { accent-color: var(--sw-ink); font: inherit;
  color: var(--sw-ink); background: var(--sw-paper); }
.sw-solid select { border: 1px solid var(--sw-grid); border-radius: 3px; padding: 0.1rem 0.2rem;
  max-width: 16rem; }
.sw-solid .sw-keys { margin: 0.3rem 0 0; color: var(--sw-quiet); font-size: 0.8125rem; }
.sw-solid input[type="checkbox"] { accent-color: var(--sw-ink); margin: 0; }
.sw-solid .sw-missing { padding: 1.5rem; color: var(--sw-ink); margin: 0; max-width: 40rem; }
`;

export default {
  template: `
    <figure class="sw-figure sw-solid">
      <div class="sw-head">
        <span class="sw-title">Cabinet</span>
        <span class="sw-tools">
          <button v-for="[name, key] in views" :key="name" type="button" class="sw-button"
            :disabled="missing" @click="view?.turnTo(name)" :data-tip="tip(name, key)"
            :aria-label="tip(name, key)">{{ name[0].toUpperCase() + name.slice(1) }}</button>
          <button type="button" class="sw-button" :disabled="missing" @click="view?.fit()"
            data-tip="Show all of it (key F)">Fit</button>
          <button type="button" class="sw-button" ref="measure" aria-pressed="false"
            :disabled="missing" @click="setMeasuring(!measuring)"
            data-tip="Distance between two points (key M)">Measure</button>
        </span>
      </div>
      <div class="sw-place" ref="place" :style="{ height: height + 'px' }">
        <p v-if="missing" class="sw-missing">The solid cannot be drawn here: this browser has no
          WebGL, or it is switched off. The drawings and lists show the same cabinet, and all else
          on this page works.</p>
        <canvas v-else ref="canvas" tabindex="0" role="img" aria-label="Cabinet"
          @keydown="onKey" @pointermove="onMove" @pointerdown="onDown" @pointerup="onUp"
          @pointercancel="onUp" @pointerleave="onLeave" @focus="zoomable(true)" @blur="zoomable(false)"></canvas>
        <div ref="tags" aria-hidden="true"></div>
      </div>
      <div class="sw-bar" ref="bar">
        <label>Cut <select ref="axis" aria-label="Cut" @change="onCut" :disabled="missing">
          <option value="">none</option><option value="x">across the width</option>
          <option value="y">across the depth</option><option value="z">across the height</option>
        </select></label>
        <label><input type="range" min="0" max="1000" value="500" ref="at" @input="onCut"
          aria-label="Place of the cut" :disabled="missing || !cutting">
          <output ref="where"></output></label>
        <label><input type="checkbox" ref="through" @change="onThrough" :disabled="missing"
          aria-label="See through the walls" data-tip="Key T"> See through</label>
        <label>Explode <input type="range" min="0" max="150" value="0" ref="explode"
          aria-label="Explode" @input="onExplode" :disabled="missing"></label>
        <label>Part <select ref="part" aria-label="Part"
          @change="choose($refs.part.value || null)">
          <option value="">none</option></select></label>
      </div>
      <p class="sw-keys">Keys on the picture: arrows turn, + and − zoom, X Y Z cut, [ and ] or the
        hand on a cut face move the cut, T sees through, Escape lets go.</p>
      <span class="sw-spoken" ref="spoken" role="status"></span>
    </figure>`,

  props: {
    palettes: Object, resourcePath: String, dynamicResourcePath: String, token: String,
    units: String, height: Number,
  },
  emits: ["seen", "chosen"],

  data() {
    return {
      missing: false, measuring: false, cutting: false,
      views: [["front", "1"], ["side", "2"], ["top", "3"], ["iso", "4"]],
    };
  },

  created() {
    Object.assign(this, { view: null, wanted: 0, loaded: 0, loading: false, pressed: null,
      held: null });
  },

  mounted() {
    const fails = (theme) => `--sw-fails: ${this.palettes[theme].verdicts.fails};`;
    styles(this.palettes);
    styles(this.palettes, "sw-solid-style",
      `.sw-figure { ${fails("light")} } .body--dark .sw-figure { ${fails("dark")} } ${MORE}`);
    linked.loadFaces(`${window.path_prefix ?? ""}${this.resourcePath}`);
    this.start();
    this.fresh = true;
    this.seen = new IntersectionObserver((entries) => {
      const visible = entries[entries.length - 1].isIntersecting;
      if (!visible && this.fresh) return;
      this.$emit("seen", { visible, fresh: this.fresh });
      this.fresh = false;
    }, { rootMargin: "120px" });
    this.seen.observe(this.$el);
  },

  beforeUnmount() {
    this.$emit("seen", { visible: false, fresh: false });
    this.seen.disconnect();
    this.sizes?.disconnect();
    this.offTheme?.();
    this.view?.close();
    window.__solids?.delete(this.token);
    this.view = null;
  },

  updated() {
    this.tagAll();
  },

  methods: {
    start() {
      try {
        this.view = new View(this.$refs.canvas, this.palettes, () => this.tagAll());
      } catch {
        this.missing = true;
        return;
      }
      (window.__solids ??= new Map()).set(this.token, this.view);
      this.view.setTheme(linked.isDark());
      this.offTheme = linked.onTheme(() => this.view.setTheme(linked.isDark()));
      this.sizes = new ResizeObserver(() => this.measureSize());
      this.sizes.observe(this.$refs.place);
      this.measureSize();
      this.$refs.canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
      this.$refs.canvas.addEventListener("webglcontextrestored", () => this.view?.invalidate());
    },

    measureSize() {
      const { clientWidth, clientHeight } = this.$refs.place;
      const before = this.view.size;
      this.view.resize(clientWidth, clientHeight);
      if (!before) this.view.fit();
    },

    tip(name, key) {
      const words = { front: "From the front", side: "From the right", top: "From above",
        iso: "From the front, aslant" };
      return `${words[name]} (key ${key})`;
    },

    // The newest parts are fetched; what became old while fetching is passed over.
    async load(revision) {
      this.wanted = revision;
      if (this.loading || !this.view) return;
      this.loading = true;
      try {
        while (this.view && this.loaded !== this.wanted) {
          const number = this.wanted;
          const began = performance.now();
          const path = `${window.path_prefix ?? ""}${this.dynamicResourcePath}/${this.token}`;
          const answer = await fetch(`${path}?revision=${number}`, { cache: "no-store" });
          if (!answer.ok) throw new Error(`the solids did not come: ${answer.status}`);
          const { parts, collisions, words } = unpack(await answer.arrayBuffer());
          if (!this.view) return;
          this.view.show(parts, collisions);
          this.loaded = number;
          this.view.revision = number;
          this.list(parts);
          this.$refs.canvas.setAttribute("aria-label", words);
          const rest = LEAST_GAP_MS - (performance.now() - began);
          if (this.loaded !== this.wanted && rest > 0) {
            await new Promise((done) => setTimeout(done, rest));
          }
        }
      } catch (error) {
        this.$refs.spoken.textContent = String(error.message ?? error);
      } finally {
        this.loading = false;
      }
    },

    list(parts) {
      const { part } = this.$refs;
      const names = ["", ...parts.map(({ name }) => name)];
      const now = [...part.options].map(({ value }) => value);
      if (names.join("\n") !== now.join("\n")) {
        part.replaceChildren(...names.map((name) => new Option(name || "none", name)));
      }
      part.value = this.view.chosen ?? "";
    },

    choose(name) {
      this.view?.choose(name);
      this.$refs.part.value = name ?? "";
      this.$emit("chosen", { name });
    },

    zoomable(on) {
      if (this.view) this.view.controls.enableZoom = on; // else the page scrolls under the pointer
    },

    setMeasuring(on) {
      this.measuring = on;
      this.$refs.measure.setAttribute("aria-pressed", String(on));
      this.$refs.canvas?.classList.toggle("sw-measuring", on);
      this.view?.mark([]);
    },

    onCut() {
      const { axis, at } = this.$refs;
      this.cutting = Boolean(axis.value);
      this.view?.setCut(axis.value || null, at.value / 1000);
      this.$refs.where.textContent = axis.value && this.view
        ? length(this.view.cutAt, this.units) : "";
    },

    onThrough() {
      this.view?.setThrough(this.$refs.through.checked);
    },

    // Cut across an axis, or no more if it is that one already.
    cutAcross(name) {
      const { axis } = this.$refs;
      axis.value = axis.value === name ? "" : name;
      this.onCut();
      this.say(axis.value ? `Cut ${axis.selectedOptions[0].text}` : "No cut");
    },

    slide(by) {
      if (!this.cutting || !this.view) return;
      this.$refs.at.value = Math.round(1000 * this.view.slideCut(by));
      this.$refs.where.textContent = length(this.view.cutAt, this.units);
    },

    say(words) {
      this.$refs.spoken.textContent = words;
    },

    onExplode() {
      this.view?.setExplode(this.$refs.explode.value / 100);
      if (this.$refs.axis.value) this.onCut();
    },

    local(event) {
      const box = this.$refs.canvas.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    },

    onMove(event) {
      if (!this.view) return;
      const place = this.local(event);
      if (this.held) {
        this.slide(this.view.alongCut(place[0] - this.held[0], place[1] - this.held[1]));
        this.held = place;
        return;
      }
      if (event.buttons) return;
      this.pointer = place;
      if (this.looking) return;
      this.looking = requestAnimationFrame(() => {
        this.looking = 0;
        if (!this.view || !this.pointer) return;
        this.view.hover(this.view.pick(...this.pointer)?.piece.part.name ?? null);
        this.$refs.canvas.classList.toggle("sw-sliding",
          !this.measuring && this.view.onCap(...this.pointer));
        this.tagAll();
      });
    },

    onLeave() {
      this.pointer = null;
      this.view?.hover(null);
      this.tagAll();
    },

    onDown(event) {
      this.$refs.canvas.focus({ preventScroll: true });
      this.pressed = this.local(event);
      const slides = event.button === 0 && !this.measuring && this.view?.onCap(...this.pressed);
      if (!slides) return;
      this.held = this.pressed; // the hand holds the cut, not the cabinet
      this.view.controls.enabled = false;
      this.$refs.canvas.setPointerCapture(event.pointerId);
    },

    onUp(event) {
      if (this.held && this.view) this.view.controls.enabled = true;
      this.held = null;
      const [x, y] = this.local(event);
      const still = this.pressed && Math.hypot(x - this.pressed[0], y - this.pressed[1]) < 4;
      this.pressed = null;
      if (!still || event.button !== 0 || !this.view) return;
      const hit = this.view.pick(x, y);
      if (!this.measuring) {
        this.choose(hit?.piece.part.name ?? null);
      } else if (hit) {
        const { marks } = this.view;
        this.view.mark(marks.length === 1 ? [marks[0], hit.corner] : [hit.corner]);
        if (this.view.marks.length === 2) this.$refs.spoken.textContent = this.distance();
      }
    },

    distance() {
      const [a, b] = this.view.marks;
      return length(a.distanceTo(b), this.units);
    },

    onKey(event) {
      if (!this.view || event.ctrlKey || event.metaKey || event.altKey) return;
      const { view } = this;
      const acts = {
        ArrowLeft: () => view.turn(-5, 0), ArrowRight: () => view.turn(5, 0),
        ArrowUp: () => view.turn(0, 5), ArrowDown: () => view.turn(0, -5),
        "+": () => view.zoom(1.2), "=": () => view.zoom(1.2), "-": () => view.zoom(1 / 1.2),
        x: () => this.cutAcross("x"), y: () => this.cutAcross("y"), z: () => this.cutAcross("z"),
        "[": () => this.slide(-STEP_MM), "]": () => this.slide(STEP_MM),
        t: () => {
          this.$refs.through.checked = !this.$refs.through.checked;
          this.onThrough();
        },
        f: () => view.fit(), m: () => this.setMeasuring(!this.measuring),
        Escape: () => (this.measuring ? this.setMeasuring(false) : this.choose(null)),
      };
      for (const [name, key] of this.views) acts[key] = () => view.turnTo(name);
      const act = acts[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (!act) return;
      event.preventDefault();
      event.stopPropagation();
      act();
    },

    // Words over the picture: what collides, what is measured, what is under the pointer.
    tagAll() {
      if (!this.view?.size || !this.$refs.tags) return;
      const tags = [];
      const put = (text, [x, y], kind = "") => {
        const tag = document.createElement("div");
        tag.className = `sw-tag ${kind}`;
        tag.textContent = text;
        tag.style.left = `${x}px`;
        tag.style.top = `${y}px`;
        tags.push(tag);
      };
      const taken = [];
      for (const { names, label } of this.view.collisions) {
        const middle = this.view.middleOf(names);
        if (!middle) continue;
        const [x, y] = this.view.toScreen(middle);
        let at = y; // below the words that are there already
        for (const other of taken.sort((a, b) => a - b)) {
          if (Math.abs(at - other) < TAG_PX) at = other + TAG_PX;
        }
        taken.push(at);
        put(label, [x, at], "sw-fails");
      }
      const { marks } = this.view;
      if (marks.length === 1) put("second point", this.view.toScreen(marks[0]));
      if (marks.length === 2) {
        put(this.distance(), this.view.toScreen(marks[0].clone().lerp(marks[1], 0.5)));
      }
      if (this.view.hovered && this.pointer) {
        put(this.view.hovered, [this.pointer[0], this.pointer[1] - 6]);
      }
      this.$refs.tags.replaceChildren(...tags);
    },
  },
};
