// The front, flat and to scale: drivers, ports, braces and dividers are moved on it.

import { fouls } from "speakerwright-front";
import { LOOK } from "speakerwright-front/look.js";
import { styles } from "speakerwright-plot/styles.js";
import { length } from "speakerwright-solids/measure.js";

const GAP_MS = 90; // between two messages of one move
const REST_MS = 600; // keys that come closer together make one move
const ANSWER_MS = 3000; // how long an answer is waited for before the page's word is given up
const LEFT = 46;
const RIGHT = 74;
const BELOW = 40;
const ABOVE = 8; // pixels about the baffle, for dimensions and names
const GRIP = 9;
const SIDES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
  PageUp: [0, 10], PageDown: [0, -10] };
let again = { key: null, until: 0 }; // what had the focus when the page was built anew

export default {
  template: `
    <figure class="sw-figure sw-front">
      <div class="sw-head"><span class="sw-title">Front, to scale</span></div>
      <div class="sw-front-place" ref="place" :style="{ height: height + 'px' }">
      <svg v-if="front" ref="svg" role="group" aria-label="Front of the cabinet, to scale"
          :viewBox="view" :style="{ '--px': px }">
        <path class="sw-baffle" :d="edge"></path>
        <line class="sw-centre" x1="0" x2="0" :y1="6 * px" :y2="-front.height - 6 * px"></line>
        <g v-for="item in front.items" :key="item.key" :ref="(g) => hold(item.key, g)"
          class="sw-item" :class="look(item)" :style="tones(item)"
          :transform="'translate(' + at[item.key][0] + ',' + -at[item.key][1] + ')'"
          :tabindex="item.ways ? 0 : undefined" :role="item.ways ? 'button' : 'img'"
          :aria-roledescription="item.ways ? 'movable part' : undefined"
          :aria-label="words(item)" :aria-describedby="item.ways ? token + '-how' : undefined"
          :data-front="item.key"
          @pointerdown="(e) => down(e, item)" @pointermove="drag" @pointerup="drop"
          @pointercancel="giveUp" @lostpointercapture="drop" @keydown="(e) => key(e, item)"
          @focus="choose(item)" @blur="rest(item)">
          <rect v-if="inner(item) && item.ways" class="sw-catch"
            :x="-Math.max(item.face[0] / 2, 7 * px)" :y="-Math.max(item.face[1] / 2, 7 * px)"
            :width="Math.max(item.face[0], 14 * px)" :height="Math.max(item.face[1], 14 * px)"
            ></rect>
          <circle v-if="!item.face.length" class="sw-face" :r="12 * px"></circle>
          <circle v-for="(outline, k) in rounds(item)" :class="outline[0]" :r="outline[1]"></circle>
          <rect v-for="outline in squares(item)" :class="outline[0]" :x="-outline[1] / 2"
            :y="-outline[2] / 2" :width="outline[1]" :height="outline[2]"></rect>
          <template v-if="level(item)">
            <path v-if="item.ways" class="sw-grip" :d="grip()"></path>
            <text class="sw-name" :x="front.width / 2 + 20 * px" :y="4 * px">{{ item.name }}</text>
          </template>
          <template v-else-if="item.kind === 'upright'">
            <path class="sw-grip" :d="foot(item)"></path>
            <text class="sw-name" :x="10 * px" :y="at[item.key][1] + 13 * px">{{ item.name }}</text>
          </template>
          <text v-else-if="item.kind === 'partition'" class="sw-name" :x="5 * px - item.face[0] / 2"
            :y="14 * px - item.face[1] / 2">{{ item.name }}</text>
          <text v-else class="sw-name sw-middle" :y="4 * px">{{ short(item) }}</text>
        </g>
        <g v-if="chosen" class="sw-size" aria-hidden="true">
          <path :d="sizes.lines"></path>
          <text v-if="sizes.x" :x="sizes.x.at[0]" :y="sizes.x.at[1]">{{ sizes.x.text }}</text>
          <text v-if="sizes.z" :transform="sizes.z.turn">{{ sizes.z.text }}</text>
        </g>
        <g v-for="foul in found" class="sw-foul"
          :transform="'translate(' + (foul.at[0] - 9 * px) + ',' + (-foul.at[1] - 9 * px)
            + ') scale(' + 1.5 * px + ')'"><circle cx="6" cy="6" r="8.5"></circle>
          <path :d="cross" fill-rule="evenodd"></path></g>
      </svg>
      <p v-else class="sw-front-wait">Working it out.</p>
      </div>
      <p class="sw-front-read" role="status" aria-live="polite">{{ told || "Nothing is chosen." }}</p>
      <p class="sw-front-fails" role="status"><template v-if="fails">
        <svg viewBox="0 0 12 12" aria-hidden="true"><path :d="cross" fill-rule="evenodd"/></svg>
        <span>fails:</span> {{ fails }}</template></p>
      <p class="sw-front-how" :id="token + '-how'">{{ how }}</p>
    </figure>`,

  props: { front: Object, units: String, height: Number, token: String, cross: String,
    palettes: Object },
  emits: ["moved", "opened"],

  data() {
    return { at: {}, chosen: null, held: null, px: 1, word: "" };
  },

  created() {
    Object.assign(this, { groups: new Map(), seq: 0, busy: null, last: 0, timer: 0, pause: 0,
      from: null, waiting: null, sizing: null });
    this.at = this.copy(this.front);
  },

  mounted() {
    const tones = (theme) => Object.entries(this.palettes[theme].parts)
      .map(([part, tone]) => `--sw-part-${part}: ${tone};`).join(" ")
      + ` --sw-fails: ${this.palettes[theme].verdicts.fails};`;
    styles(this.palettes, "sw-front-style", `.sw-front { ${tones("light")} }
      .body--dark .sw-front { ${tones("dark")} } ${LOOK}`);
    this.sizing = new ResizeObserver(() => this.fit());
    this.sizing.observe(this.$refs.place);
    this.fit();
    this.$nextTick(() => this.back());
  },

  beforeUnmount() {
    this.sizing.disconnect();
    clearTimeout(this.timer);
    clearTimeout(this.pause);
    if (document.activeElement?.closest?.(".sw-front")) {
      again = { key: this.chosen?.key, until: Date.now() + 3000 };
    }
  },

  watch: {
    front(now) {
      const at = this.copy(now);
      if (this.busy && at[this.busy] && this.at[this.busy]) at[this.busy] = this.at[this.busy];
      this.at = at;
      if (this.chosen) this.chosen = now?.items.find(({ key }) => key === this.chosen.key) ?? null;
      this.fit();
      this.$nextTick(() => this.back());
    },
  },

  computed: {
    found() {
      return this.front ? fouls(this.front, this.at) : [];
    },

    fails() {
      const pairs = this.found.map(({ names }) => [...names].sort().join(" and ")).sort();
      if (!pairs.length) return "";
      const more = pairs.length > 3 ? `; and ${pairs.length - 3} more` : "";
      return `${pairs.slice(0, 3).join("; ")}${more}: in one place.`;
    },

    edge() {
      return `M${this.front.outline.map(([x, z]) => `${x} ${-z}`).join("L")}Z`;
    },

    view() {
      const { width, height } = this.front;
      const { px } = this;
      return [-width / 2 - LEFT * px, -height - ABOVE * px, width + (LEFT + RIGHT) * px,
        height + (ABOVE + BELOW) * px].join(" ");
    },

    told() {
      return this.word || (this.chosen ? this.words(this.chosen) : "");
    },

    how() {
      const item = this.chosen ?? this.front?.items.find(({ ways }) => ways);
      if (!item) return "";
      // in the unit of the file, which a move keeps
      const [step, fine] = item.steps.map((size) => size / item.rise).map((size, _, all) => (
        Math.abs(all[0] - 1) < 1e-6 ? `${Number(size.toFixed(2))}\u2009mm` : length(size, "inch")));
      return `Drag a part, or move it with the arrow keys: by ${step}, with Shift by ${fine}. `
        + "Escape puts it back, Enter goes to its field.";
    },

    sizes() {
      const { chosen, px, front } = this;
      if (!chosen) return { lines: "" };
      const [x, z] = this.at[chosen.key];
      const lift = chosen.kind === "divider" ? chosen.face[1] / 2 : 0;
      const from = chosen.origin[1] - lift;
      const to = z - lift;
      const left = -front.width / 2 - 20 * px;
      const low = 18 * px;
      const out = { lines: "" };
      const tick = (a, b) => `M${a - 3 * px} ${b + 3 * px}L${a + 3 * px} ${b - 3 * px}`;
      if (chosen.ways.includes("z") || chosen.ways === "") {
        const start = this.level(chosen) ? -front.width / 2 : x;
        out.lines += `M${start} ${-to}H${left - 4 * px}M${-front.width / 2} ${-from}H${left - 4 * px}`
          + `M${left} ${-from}V${-to}${tick(left, -from)}${tick(left, -to)}`;
        out.z = { text: this.words_of((to - from) / chosen.rise),
          turn: `translate(${left - 6 * px},${-(from + to) / 2}) rotate(-90)` };
      }
      if (!this.level(chosen) && chosen.kind !== "partition") {
        if (Math.abs(x) > 0.005) {
          out.lines += `M${x} ${-z}V${low + 4 * px}M0 ${low}H${x}${tick(0, low)}${tick(x, low)}`;
        }
        out.x = { text: this.words_of(Math.abs(x)), at: [x / 2, low + 15 * px] };
      }
      return out;
    },
  },

  methods: {
    copy(front) {
      return Object.fromEntries(Object.entries(front?.now ?? {}).map(([k, at]) => [k, [...at]]));
    },

    fit() {
      const { clientWidth: wide, clientHeight: high } = this.$refs.place ?? {};
      if (!this.front || !wide || !high) return;
      this.px = Math.max(this.front.width / Math.max(wide - LEFT - RIGHT, 40),
        this.front.height / Math.max(high - ABOVE - BELOW, 40));
    },

    hold(key, g) {
      if (g) this.groups.set(key, g);
      else this.groups.delete(key);
    },

    back() {
      if (again.key && Date.now() < again.until && this.groups.has(again.key)
        && document.activeElement === document.body) {
        this.groups.get(again.key).focus({ preventScroll: true });
        again = { key: null, until: 0 };
      }
    },

    level: ({ kind }) => kind === "brace" || kind === "divider",
    inner: ({ kind }) => ["brace", "divider", "upright", "partition"].includes(kind),
    foot(item) {
      const y = this.at[item.key][1] + 3 * this.px;
      const g = GRIP * this.px;
      return `M0 ${y}l${-g * 0.7} ${g}h${g * 1.4}z`;
    },
    grip() {
      const x = this.front.width / 2 + 3 * this.px;
      const g = GRIP * this.px;
      return `M${x} 0l${g} ${-g * 0.7}v${g * 1.4}z`;
    },
    rounds(item) {
      return [["sw-face", item.face], ["sw-inner", item.inner]]
        .filter(([, outline]) => outline.length === 1).map(([name, [size]]) => [name, size / 2]);
    },
    squares(item) {
      return [["sw-face", item.face], ["sw-inner", item.inner]]
        .filter(([, outline]) => outline.length === 2).map(([name, size]) => [name, ...size]);
    },
    look(item) {
      const fails = this.found.some(({ names }) => names.includes(item.name));
      return [`sw-${item.kind}`, { "is-movable": item.ways, "is-fouled": fails,
        "is-level": this.inner(item), "is-held": this.held === item.key,
        "is-chosen": this.chosen?.key === item.key }];
    },
    tones: ({ part }) => (part ? { "--tone": `var(--sw-part-${part})` } : {}),
    short(item) {
      const room = (item.face.at?.(0) ?? 0) / this.px;
      return item.name.length * 6.5 > room + 40 ? item.name.replace(/ of .*/, "") : item.name;
    },

    words_of(mm) {
      return length(mm, this.units);
    },

    words(item) {
      const [x, z] = this.at[item.key] ?? [0, 0];
      const side = Math.abs(x) < 0.005 ? "on the centre line"
        : `${this.words_of(Math.abs(x))} ${x < 0 ? "left" : "right"} of the centre line`;
      const up = this.words_of((z - item.origin[1]) / item.rise);
      return `${item.name}: ${item.says.replace("{x}", side).replace("{z}", up)}`;
    },

    choose(item) {
      this.word = "";
      this.chosen = item;
    },

    // --- moving

    // The nearest place on the file's own grid along one axis, within bounds.
    snapped(item, k, value, step) {
      const snap = (to, round) => item.origin[k]
        + round(Number(((to - item.origin[k]) / step).toFixed(6))) * step;
      const [low, high] = [item.bounds[k], item.bounds[k + 2]];
      let to = snap(value, Math.round);
      if (to < low) to = Math.min(snap(low, Math.ceil), high);
      if (to > high) to = Math.max(snap(high, Math.floor), low);
      return Math.round(to * 1e6) / 1e6;
    },

    put(item, place) {
      const before = this.at[item.key];
      if (before.every((value, k) => value === place[k])) return false;
      this.at[item.key] = place;
      return true;
    },

    spot(event) {
      const { a, d, e, f } = this.$refs.svg.getScreenCTM();
      return [(event.clientX - e) / a, -(event.clientY - f) / d];
    },

    down(event, item) {
      if (event.button !== 0 || !item.ways) return;
      const g = event.currentTarget;
      g.focus({ preventScroll: true });
      g.setPointerCapture(event.pointerId);
      event.preventDefault();
      this.finish();
      this.word = "";
      this.held = item.key;
      this.seqAtStart = this.seq;
      this.from = { item, hand: this.spot(event), at: [...this.at[item.key]] };
    },

    drag(event) {
      if (!this.held) return;
      const { item, hand, at } = this.from;
      const step = item.steps[event.shiftKey ? 1 : 0];
      const now = this.spot(event);
      const place = at.map((start, k) => {
        const by = now[k] - hand[k];
        return !item.ways.includes("xz"[k]) || Math.abs(by) < step / 2 ? start
          : this.snapped(item, k, start + by, step);
      });
      if (this.put(item, place)) this.tell(item);
    },

    drop() {
      if (!this.held) return;
      const { item, at } = this.from;
      this.held = null;
      if (this.seqAtStart !== this.seq || at.some((v, k) => v !== this.at[item.key][k])) {
        this.tell(item, true);
      }
    },

    giveUp() {
      if (!this.held) return;
      this.at[this.held] = [...this.from.at];
      this.drop();
    },

    key(event, item) {
      if (event.ctrlKey || event.metaKey || event.altKey) {
        this.finish(); // undo takes back the whole move
        return;
      }
      const side = SIDES[event.key];
      if (event.key === "Enter") {
        this.finish();
        this.$emit("opened", { key: item.key });
      } else if (event.key === "Escape") {
        this.putBack();
      } else if (side && !this.held) {
        this.nudge(item, side, item.steps[event.shiftKey ? 1 : 0]);
      } else {
        return;
      }
      event.preventDefault();
      event.stopPropagation();
    },

    nudge(item, side, step) {
      const before = this.at[item.key];
      const place = before.map((value, k) => {
        const to = Math.round((value + side[k] * step) * 1e6) / 1e6;
        if (!side[k] || !item.ways.includes("xz"[k])) return value;
        return side[k] > 0 ? Math.max(value, Math.min(to, item.bounds[k + 2]))
          : Math.min(value, Math.max(to, item.bounds[k]));
      });
      if (!this.put(item, place)) return;
      this.word = "";
      if (!this.waiting) this.from = { item, at: before };
      this.waiting = item;
      this.tell(item);
      clearTimeout(this.pause);
      this.pause = setTimeout(() => this.finish(), REST_MS);
    },

    putBack() {
      if (this.held) this.giveUp();
      if (!this.waiting) return;
      this.at[this.waiting.key] = [...this.from.at];
      this.finish();
    },

    rest(item) {
      if (this.waiting === item) this.finish();
    },

    // The end of a move by keys: one step of undo.
    finish() {
      clearTimeout(this.pause);
      const item = this.waiting;
      this.waiting = null;
      if (item) this.tell(item, true);
    },

    // Tell where an item is: at most every so often while it moves, and always where it ends.
    tell(item, done = false) {
      this.busy = item.key;
      clearTimeout(this.timer);
      if (!done && !item.live) return;
      const wait = done ? 0 : this.last + GAP_MS - Date.now();
      if (wait > 0) {
        this.timer = setTimeout(() => this.tell(item), wait);
        return;
      }
      this.last = Date.now();
      this.seq += 1;
      this.$emit("moved", { key: item.key, at: [...this.at[item.key]], done, seq: this.seq });
    },

    // Where everything stands by the design; older answers do not move what the hand holds.
    settle(at, seq, word) {
      const late = seq < this.seq && Date.now() - this.last < ANSWER_MS;
      for (const [key, spot] of Object.entries(at)) {
        const mine = key === this.busy && (late || this.held === key || this.waiting?.key === key);
        if (key in this.at && !mine) this.at[key] = [...spot];
      }
      if (word) this.word = word;
      if (!late && !this.held && !this.waiting) this.busy = null;
    },
  },
};
