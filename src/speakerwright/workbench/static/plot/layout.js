// Where the plotting field and its words stand, in pixels, y downwards.

import { valueAtX } from "./data.js";
import { FAMILY } from "./linked.js";
import { spread } from "./labels.js";
import { fraction, ticks } from "./ticks.js";

const TALLEST = 360;
const LOWEST = 110;

export function typeface(size, bold = false) {
  return `${bold ? 600 : 400} ${size}px ${FAMILY}`;
}

// The x axis as it is seen now: whole, or the part that is zoomed into.
export function seenAxis(axis, view) {
  if (!view) return axis;
  const low = Math.max(view[0], axis.low);
  const high = Math.min(view[1], axis.high);
  if (!(low < high)) return axis;
  const whole = low <= axis.low && high >= axis.high;
  return whole ? axis : { ...axis, low, high, step: null };
}

export function arrange(ctx, chart, held, view, width, size) {
  const line = Math.round(size * 1.3);
  const x = seenAxis(chart.x, view);
  ctx.font = typeface(size);
  const wide = (text) => ctx.measureText(text).width;
  const widest = (axis) => Math.max(0, ...ticks(axis, 12).labels.map(wide));
  const left = 8 * Math.ceil((widest(chart.y) + 8) / 8);
  const top = line + 6;
  const bottom = 2 * line + 6;
  const names = endNames(chart, held, x).filter(({ text }) => wide(text) <= 0.3 * width);
  let right = chart.right ? widest(chart.right) + 10 : 0.8 * size;
  for (const { text } of names) right = Math.max(right, 14 + wide(text) + 2);
  right = 8 * Math.ceil(right / 8);
  let across = Math.max(60, width - left - right);
  let tall = chart.ratio ? chart.ratio * across : Math.max(LOWEST, 0.42 * across);
  const most = TALLEST * (size / 13);
  if (tall > most) {
    if (chart.ratio) across *= most / tall; // slopes keep their slant
    tall = most;
  }
  tall = Math.max(tall, 60);
  const field = {
    left, top, right: Math.round(left + across), bottom: Math.round(top + tall),
  };
  return { width, height: field.bottom + bottom, field, x, size, line, names };
}

export function axisOf(chart, curve) {
  return curve.axis === "right" ? chart.right : chart.y;
}

// The curves that leave the field through its right edge, and where, as a part of its height.
function endNames(chart, held, x) {
  if (chart.right) return [];
  const found = [];
  const put = (curve, text, part) => {
    const up = endFraction(curve, x, chart.y, chart.x);
    if (up !== null && text.trim()) found.push({ text, part, up, curve });
  };
  for (const curve of chart.curves) put(curve, curve.name, curve.part);
  for (const [name, other] of held) {
    if (other.curves.length) put(other.curves[0], `held: ${name}`, null);
  }
  return found;
}

function endFraction(curve, x, y, whole) {
  const log = x.scale === "log";
  let level = valueAtX(curve, x.high, log);
  if (!Number.isFinite(level)) {
    let last = curve.x.length - 1;
    while (last >= 0 && !(Number.isFinite(curve.y[last]) && curve.x[last] <= x.high)) last -= 1;
    if (last < 0 || !curve.rising || fraction(x, curve.x[last]) < 0.985) return null;
    if (x.high < whole.high && curve.x[curve.x.length - 1] > x.high) return null;
    level = curve.y[last];
  }
  const up = fraction(y, level);
  return up >= 0 && up <= 1 ? up : null;
}

// Heights of the end names, none over another.
export function endPlaces(plan) {
  const { field, line } = plan;
  const ends = plan.names.map((name) => ({
    ...name, y: field.bottom - name.up * (field.bottom - field.top),
  })).sort((a, b) => a.y - b.y);
  const places = spread(ends.map(({ y }) => y), line, field.top, field.bottom);
  return ends.map((end, k) => ({ ...end, at: places[k] }));
}

export function acrossPx(plan, value) {
  return plan.field.left + fraction(plan.x, value) * (plan.field.right - plan.field.left);
}

export function upPx(plan, axis, value) {
  return plan.field.bottom - fraction(axis, value) * (plan.field.bottom - plan.field.top);
}

const FAR = 20000;

function bounded(value) {
  return Number.isNaN(value) ? NaN : Math.max(-FAR, Math.min(FAR, value));
}

// The points of a line in pixels, with one more on each side of what is seen.
export function trace(plan, axis, x, y, rising) {
  let first = 0;
  let last = x.length;
  if (rising) {
    while (first < last - 2 && x[first + 1] < plan.x.low) first += 1;
    while (last > first + 2 && x[last - 2] > plan.x.high) last -= 1;
  }
  const count = last - first;
  const px = new Float64Array(count);
  const py = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    px[k] = bounded(acrossPx(plan, x[first + k]));
    py[k] = Number.isFinite(y[first + k]) ? bounded(upPx(plan, axis, y[first + k])) : NaN;
  }
  return [px, py];
}
