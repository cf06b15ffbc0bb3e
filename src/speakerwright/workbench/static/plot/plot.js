// One chart on the page: what it shows, its cursor, its zoom; painted once a frame at most.

import { isValid, table, unpack, valueAtX } from "./data.js";
import { acrossPx, arrange, axisOf, seenAxis, typeface, upPx } from "./layout.js";
import { group, isDark, join, leave, setCursor, setView } from "./linked.js";
import { paint } from "./paint.js";
import { figure, fraction, valueAt } from "./ticks.js";

const NARROWEST = 0.002; // of the axis: no closer zoom

export class Plot {
  // `base` and `top` are two canvases of one place; `tell` is called when the cursor has moved.
  constructor(base, top, palettes, tell) {
    Object.assign(this, { base, top, palettes, tell });
    this.chart = null;
    this.held = new Map();
    this.revision = 0;
    this.paints = 0;
    this.width = 0;
    this.size = 13;
    this.drag = null;
    this.frames = { base: 0, cursor: 0 };
    join(this);
  }

  close() {
    cancelAnimationFrame(this.frames.base);
    cancelAnimationFrame(this.frames.cursor);
    leave(this);
  }

  show(header, block, revision) {
    const before = this.chart;
    this.chart = unpack(header, block);
    this.revision = revision;
    if (window.__charts?.get(before?.key) === this) window.__charts.delete(before.key);
    (window.__charts ??= new Map()).set(this.chart.key, this);
    this.invalidate();
  }

  hold(name, header, block) {
    this.held.set(name, unpack(header, block));
    this.invalidate();
  }

  release(name) {
    this.held.delete(name);
    this.invalidate();
  }

  resize(width, size) {
    if (width === this.width && size === this.size) return;
    this.width = width;
    this.size = size;
    if (this.chart && width > 0) this.paintNow(); // in the same frame: nothing flickers
  }

  get palette() {
    return this.paletteOf(isDark() ? "dark" : "light");
  }

  paletteOf(theme) {
    return { ...this.palettes[theme], lines: this.palettes.lines };
  }

  invalidate() {
    if (this.frames.base) return;
    this.frames.base = requestAnimationFrame(() => this.paintNow());
  }

  invalidateCursor() {
    if (this.frames.cursor) return;
    this.frames.cursor = requestAnimationFrame(() => this.paintCursor());
  }

  paintNow() {
    cancelAnimationFrame(this.frames.base);
    this.frames.base = 0;
    if (!this.chart || !(this.width > 40)) return;
    const ratio = window.devicePixelRatio || 1;
    const ctx = this.base.getContext("2d");
    const plan = arrange(ctx, this.chart, this.held, group(this.chart.x).view, this.width,
      this.size);
    for (const canvas of [this.base, this.top]) fit(canvas, plan, ratio);
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    paint(ctx, plan, this.chart, this.held, this.palette);
    this.plan = plan;
    this.paints += 1;
    this.paintedRevision = this.revision;
    this.paintCursor();
  }

  // What each curve says at x: [{name, part, evidence, text, value, valid}].
  readings(x) {
    const log = this.chart.x.scale === "log";
    const rows = [];
    const add = (source, suffix, held) => {
      for (const curve of source.curves) {
        const axis = axisOf(this.chart, curve);
        if (!axis) continue;
        const value = valueAtX(curve, x, log);
        let text = figure(value, axis.unit);
        if (curve.band && !held && Number.isFinite(value)) {
          const [low, high] = curve.band.map((y) => figure(valueAtX(curve, x, log, y), ""));
          text += ` (${low} to ${high})`;
        }
        rows.push({
          name: curve.name + suffix, part: curve.part, evidence: curve.evidence, text, value,
          held, valid: isValid(curve, x), y: Number.isFinite(value) ? upPx(this.plan, axis, value)
            : NaN,
        });
      }
    };
    add(this.chart, "", false);
    for (const [name, other] of this.held) add(other, `, held: ${name}`, true);
    return rows;
  }

  paintCursor() {
    cancelAnimationFrame(this.frames.cursor);
    this.frames.cursor = 0;
    if (!this.plan || !this.chart) return;
    const ratio = window.devicePixelRatio || 1;
    const ctx = this.top.getContext("2d");
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    ctx.clearRect(0, 0, this.plan.width, this.plan.height);
    const { field } = this.plan;
    const { ground, parts } = this.palette;
    if (this.drag && this.drag.moved) {
      const [a, b] = [this.drag.from, this.drag.to].sort((p, q) => p - q);
      ctx.globalAlpha = 0.12;
      ctx.fillStyle = ground.ink;
      ctx.fillRect(a, field.top, b - a, field.bottom - field.top);
      ctx.globalAlpha = 1;
    }
    const x = group(this.chart.x).cursor;
    const px = x === null ? NaN : acrossPx(this.plan, x);
    if (!(px >= field.left - 0.5 && px <= field.right + 0.5)) {
      this.tell(null);
      return;
    }
    const rows = this.readings(x);
    ctx.strokeStyle = ground.ink;
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.moveTo(Math.round(px) + 0.5, field.top);
    ctx.lineTo(Math.round(px) + 0.5, field.bottom);
    ctx.stroke();
    for (const row of rows) {
      if (!(row.y >= field.top && row.y <= field.bottom)) continue;
      ctx.beginPath();
      ctx.arc(px, row.y, row.held ? 2.2 : 3.2, 0, 2 * Math.PI);
      ctx.fillStyle = row.valid ? parts[row.part] : ground.outside;
      ctx.fill();
      ctx.strokeStyle = ground.paper;
      ctx.stroke();
    }
    const middle = (field.left + field.right) / 2;
    this.tell({
      x, at: figure(x, this.chart.x.unit), rows, side: px < middle ? "right" : "left", field,
      width: this.plan.width,
    });
  }

  // The place on the axis under a pixel of the canvas, inside the field.
  placeAt(px) {
    const { field, x } = this.plan;
    const part = (px - field.left) / (field.right - field.left);
    return valueAt(x, Math.max(0, Math.min(1, part)));
  }

  setCursor(x) {
    if (this.chart) setCursor(this.chart.x, x);
  }

  get cursor() {
    return this.chart ? group(this.chart.x).cursor : null;
  }

  get view() {
    return this.chart ? group(this.chart.x).view : null;
  }

  // Move the cursor by a part of what is seen, and the view with it when it is at the edge.
  step(part) {
    const seen = this.plan.x;
    const now = this.cursor === null ? 0.5 : fraction(seen, this.cursor);
    const next = this.cursor === null ? 0.5 : now + part;
    const whole = this.chart.x;
    const x = Math.max(whole.low, Math.min(whole.high, valueAt(seen, next)));
    if (this.view && (x < seen.low || x > seen.high)) {
      const wanted = next < 0 ? next : next - 1;
      const shift = Math.max(fraction(seen, whole.low), Math.min(fraction(seen, whole.high) - 1,
        wanted));
      this.zoomTo(valueAt(seen, shift), valueAt(seen, 1 + shift));
    }
    this.setCursor(x);
  }

  // Zoom by a factor about a place on the axis.
  zoom(factor, about) {
    const seen = seenAxis(this.chart.x, this.view);
    const at = fraction(seen, about);
    this.zoomTo(valueAt(seen, at - at * factor), valueAt(seen, at + (1 - at) * factor));
  }

  zoomTo(from, to) {
    const whole = this.chart.x;
    let [low, high] = [from, to].sort((a, b) => a - b);
    low = Math.max(low, whole.low);
    high = Math.min(high, whole.high);
    const [a, b] = [fraction(whole, low), fraction(whole, high)];
    if (!(b - a > NARROWEST)) return;
    setView(whole, a <= 1e-9 && b >= 1 - 1e-9 ? null : [low, high]);
  }

  reset() {
    if (this.chart) setView(this.chart.x, null);
  }

  table() {
    return table(this.chart, this.held);
  }

  // The whole chart with title and caption, on white paper, twice as fine as the screen.
  picture() {
    const canvas = document.createElement("canvas");
    const ctx = canvas.getContext("2d");
    const width = Math.max(480, this.width);
    const plan = arrange(ctx, this.chart, this.held, this.view, width, this.size);
    const palette = this.paletteOf("light");
    const { size, line } = plan;
    ctx.font = typeface(size);
    const caption = broken(ctx, this.chart.caption, width);
    const head = Math.round(1.6 * size) + 6;
    const whole = head + plan.height + (caption.length ? caption.length * line + 6 : 0);
    canvas.width = 2 * (width + 24);
    canvas.height = 2 * (whole + 24);
    ctx.setTransform(2, 0, 0, 2, 0, 0);
    ctx.fillStyle = palette.ground.paper;
    ctx.fillRect(0, 0, width + 24, whole + 24);
    ctx.fillStyle = palette.ground.ink;
    ctx.font = typeface(1.15 * size, true);
    ctx.fillText(this.chart.title, 12, 12 + 1.2 * size);
    ctx.translate(12, 12 + head);
    paint(ctx, plan, this.chart, this.held, palette);
    ctx.fillStyle = palette.ground.quiet;
    ctx.textAlign = "left";
    ctx.font = typeface(size);
    caption.forEach((text, k) => ctx.fillText(text, 0, plan.height + (k + 1) * line));
    return canvas;
  }
}

function fit(canvas, plan, ratio) {
  const width = Math.round(plan.width * ratio);
  const height = Math.round(plan.height * ratio);
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  const [wide, high] = [`${plan.width}px`, `${plan.height}px`];
  if (canvas.style.width !== wide) canvas.style.width = wide;
  if (canvas.style.height !== high) canvas.style.height = high;
}

function broken(ctx, text, width) {
  const lines = [];
  for (const word of text.split(" ").filter(Boolean)) {
    const longer = lines.length ? `${lines[lines.length - 1]} ${word}` : word;
    if (lines.length && ctx.measureText(longer).width <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}
