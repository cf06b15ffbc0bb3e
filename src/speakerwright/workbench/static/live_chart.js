// The element on the page: title, buttons, two canvases, the read-out, the caption.

import { linked, Plot, styles } from "speakerwright-plot";

const LINES = { datasheet: "dotted", simulated: "dashed", measured: "solid" };
const STEP = 0.01;

export default {
  template: `
    <figure class="sw-figure sw-chart">
      <div class="sw-head">
        <span class="sw-title" ref="title"></span>
        <span class="sw-tools" ref="tools">
          <button type="button" class="sw-button" ref="whole" hidden @click="plot.reset()"
            data-tip="Show the whole axis again (key 0)">Whole axis</button>
          <button type="button" class="sw-button" @click="copyPicture"
            aria-label="Copy the chart as a picture"
            data-tip="Copy as a picture, on white paper">Picture</button>
          <button type="button" class="sw-button" @click="copyTable"
            aria-label="Copy the curves as a table"
            data-tip="Copy as a table for a spreadsheet">Table</button>
        </span>
      </div>
      <div class="sw-place" ref="place">
        <canvas class="sw-base" ref="base" tabindex="0" role="img" aria-label="Chart"
          @keydown="onKey" @pointermove="onMove" @pointerdown="onDown" @pointerup="onUp"
          @pointercancel="onCancel" @pointerleave="onLeave" @dblclick="plot.reset()"
          @wheel="onWheel"></canvas>
        <canvas class="sw-top" ref="top" aria-hidden="true"></canvas>
        <div class="sw-read" ref="read" aria-hidden="true" hidden></div>
      </div>
      <figcaption class="sw-caption" ref="caption"></figcaption>
      <span class="sw-spoken" ref="spoken" aria-live="polite"></span>
      <span class="sw-status" ref="status" role="status"></span>
    </figure>`,

  props: { palettes: Object, resourcePath: String },
  emits: ["seen"],

  created() {
    this.plot = null; // plain, not watched
  },

  mounted() {
    styles(this.palettes);
    linked.loadFaces(`${window.path_prefix ?? ""}${this.resourcePath}`);
    this.plot = new Plot(this.$refs.base, this.$refs.top, this.palettes, (told) => this.tell(told));
    this.sizes = new ResizeObserver(() => this.measure());
    this.sizes.observe(this.$refs.place);
    this.measure();
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
    this.sizes.disconnect();
    if (window.__charts?.get(this.plot.chart?.key) === this.plot) {
      window.__charts.delete(this.plot.chart.key);
    }
    this.plot.close();
  },

  methods: {
    measure() {
      const size = parseFloat(getComputedStyle(this.$el).fontSize) || 13;
      this.plot.resize(Math.floor(this.$refs.place.clientWidth), size);
    },

    show(header, block, revision) {
      this.plot.show(header, block, revision);
      this.write(this.$refs.title, header.title);
      this.write(this.$refs.caption, header.caption);
      if (this.$refs.base.getAttribute("aria-label") !== header.words) {
        this.$refs.base.setAttribute("aria-label", header.words);
      }
    },

    hold(name, header, block) {
      this.plot.hold(name, header, block);
    },

    release(name) {
      this.plot.release(name);
    },

    write(element, text) {
      if (element.textContent !== text) element.textContent = text;
    },

    // The cursor's figures, in a box on the other side of the field.
    tell(told) {
      const { read, whole } = this.$refs;
      whole.hidden = !this.plot.view;
      read.hidden = told === null;
      if (!told) return;
      const { parts, ground } = this.plot.palette;
      const head = document.createElement("b");
      head.textContent = told.at;
      read.replaceChildren(head, ...told.rows.map((row) => {
        const line = document.createElement("span");
        line.className = "sw-line";
        line.style.borderTopStyle = LINES[row.evidence];
        line.style.borderTopColor = row.valid ? parts[row.part] : ground.outside;
        if (row.held) line.style.borderTopWidth = "1px";
        const name = document.createElement("span");
        name.textContent = row.name;
        const value = document.createElement("span");
        value.className = "sw-value";
        value.textContent = row.text + (row.valid ? "" : ", outside its range");
        const item = document.createElement("div");
        item.className = "sw-row";
        item.classList.toggle("sw-outside", !row.valid);
        item.classList.toggle("sw-held", row.held);
        item.append(line, name, value);
        return item;
      }));
      read.style.top = `${told.field.top + 6}px`;
      read.style.left = told.side === "left" ? `${told.field.left + 6}px` : "";
      read.style.right = told.side === "right" ? `${told.width - told.field.right + 6}px` : "";
    },

    say(told) {
      this.$refs.spoken.textContent = told;
    },

    local(event) {
      return event.clientX - this.$refs.base.getBoundingClientRect().left;
    },

    onMove(event) {
      if (!this.plot.plan) return;
      const px = this.local(event);
      if (this.plot.drag) {
        const { field } = this.plot.plan;
        this.plot.drag.to = Math.max(field.left, Math.min(field.right, px));
        this.plot.drag.moved ||= Math.abs(this.plot.drag.to - this.plot.drag.from) > 6;
        this.plot.invalidateCursor();
      }
      this.plot.setCursor(this.plot.placeAt(px));
    },

    onDown(event) {
      const { plan } = this.plot;
      if (event.button !== 0 || event.pointerType === "touch" || !plan) return;
      const px = Math.max(plan.field.left, Math.min(plan.field.right, this.local(event)));
      this.plot.drag = { from: px, to: px, moved: false };
      this.$refs.base.setPointerCapture(event.pointerId);
    },

    onUp() {
      const { drag } = this.plot;
      this.plot.drag = null;
      if (drag?.moved) this.plot.zoomTo(this.plot.placeAt(drag.from), this.plot.placeAt(drag.to));
      this.plot.invalidateCursor();
    },

    onCancel() {
      this.plot.drag = null;
      this.plot.setCursor(null);
      this.plot.invalidateCursor();
    },

    onLeave() {
      if (!this.plot.drag) this.plot.setCursor(null);
    },

    // The wheel zooms only where the chart has the focus (or with a pinch), so that the page
    // still scrolls under the pointer.
    onWheel(event) {
      if (!this.plot.plan) return;
      const focused = document.activeElement === this.$refs.base;
      const out = event.deltaY > 0;
      if (!(event.ctrlKey || focused) || (out && !this.plot.view)) return;
      event.preventDefault();
      this.plot.zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004),
        this.plot.placeAt(this.local(event)));
    },

    onKey(event) {
      if (!this.plot.plan || event.ctrlKey || event.metaKey || event.altKey) return;
      const step = event.shiftKey ? 0.1 * STEP : STEP;
      const seen = this.plot.plan.x;
      const about = this.plot.cursor ?? this.plot.placeAt(
        (this.plot.plan.field.left + this.plot.plan.field.right) / 2);
      const acts = {
        ArrowRight: () => this.plot.step(step),
        ArrowLeft: () => this.plot.step(-step),
        Home: () => this.plot.setCursor(seen.low),
        End: () => this.plot.setCursor(seen.high),
        Escape: () => this.plot.setCursor(null),
        "+": () => this.plot.zoom(0.8, about),
        "=": () => this.plot.zoom(0.8, about),
        "-": () => this.plot.zoom(1.25, about),
        0: () => this.plot.reset(),
      };
      const act = acts[event.key];
      if (!act) return;
      event.preventDefault();
      event.stopPropagation();
      act();
      const x = this.plot.cursor;
      this.say(x === null ? "" : this.plot.readings(x).map((row) => `${row.name} ${row.text}`)
        .join(", "));
    },

    status(text) {
      const { status } = this.$refs;
      status.textContent = text;
      status.classList.add("sw-seen");
      clearTimeout(this.statusTimer);
      this.statusTimer = setTimeout(() => {
        status.textContent = "";
        status.classList.remove("sw-seen");
      }, 2500);
    },

    async copyPicture() {
      const canvas = this.plot.picture();
      const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
      try {
        await navigator.clipboard.write([new ClipboardItem({ "image/png": blob })]);
        this.status("Picture copied");
      } catch {
        this.save(blob, "png");
        this.status("Picture saved to your downloads");
      }
    },

    async copyTable() {
      const text = this.plot.table();
      try {
        await navigator.clipboard.writeText(text);
        this.status("Table copied");
      } catch {
        this.save(new Blob([text], { type: "text/tab-separated-values" }), "tsv");
        this.status("Table saved to your downloads");
      }
    },

    save(blob, kind) {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(blob);
      link.download = `${this.plot.chart.key}.${kind}`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    },
  },
};
