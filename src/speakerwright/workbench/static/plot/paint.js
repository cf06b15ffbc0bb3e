// A chart on a canvas: colour says which part, line says how sure, grey where it does not hold.

import {
  acrossPx, arrange, axisOf, endPlaces, trace, typeface, upPx,
} from "./layout.js";
import { fitsInBand, interpolated, Placer, wrapped } from "./labels.js";
import { ticks } from "./ticks.js";

// Paint everything but the cursor; gives back the plan of the picture.
export function paint(ctx, plan, chart, held, palette) {
  const sheet = { ctx, plan, chart, palette, placer: new Placer(plan.field) };
  ctx.fillStyle = palette.ground.paper;
  ctx.fillRect(0, 0, plan.width, plan.height);
  divisions(sheet);
  for (const region of chart.regions) shade(sheet, region);
  const traced = [];
  for (const [name, other] of held) heldCurves(sheet, name, other, traced);
  for (const curve of chart.curves) draw(sheet, curve, traced);
  frame(sheet);
  for (const mark of chart.marks) point(sheet, mark);
  for (const region of chart.regions) reason(sheet, region);
  names(sheet, traced);
  return sheet;
}

export { arrange };

function inField(sheet, call) {
  const { ctx, plan: { field } } = sheet;
  ctx.save();
  ctx.beginPath();
  ctx.rect(field.left, field.top, field.right - field.left, field.bottom - field.top);
  ctx.clip();
  call();
  ctx.restore();
}

function rule(sheet, x0, y0, x1, y1, tone, width = 1) {
  const { ctx } = sheet;
  ctx.strokeStyle = tone;
  ctx.lineWidth = width;
  ctx.setLineDash([]);
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}

function say(sheet, text, x, y, tone, align = "left", ground = false) {
  const { ctx, plan: { size, line }, palette } = sheet;
  ctx.font = typeface(size);
  ctx.textAlign = align;
  ctx.textBaseline = "alphabetic";
  if (ground) {
    const width = ctx.measureText(text).width;
    ctx.globalAlpha = 0.78;
    ctx.fillStyle = palette.ground.paper;
    ctx.fillRect(x - 1, y - 0.95 * size, width + 2, line);
    ctx.globalAlpha = 1;
  }
  ctx.fillStyle = tone;
  ctx.fillText(text, x, y);
}

function crisp(value) {
  return Math.round(value) + 0.5;
}

function divisions(sheet) {
  const { plan, chart, palette: { ground } } = sheet;
  const { field, size, line } = plan;
  const along = ticks(plan.x, Math.max(5, Math.floor((field.right - field.left) / (3.2 * size))));
  for (const [values, tone] of [[along.minor, ground.faint], [along.major, ground.grid]]) {
    for (const value of values) {
      const x = crisp(acrossPx(plan, value));
      rule(sheet, x, field.top, x, field.bottom, tone);
    }
  }
  along.major.forEach((value, k) => {
    say(sheet, along.labels[k], acrossPx(plan, value), field.bottom + line, ground.quiet, "center");
  });
  say(sheet, chart.x.heading, field.right, field.bottom + 2 * line, ground.quiet, "right");
  const most = Math.max(2, Math.floor((field.bottom - field.top) / (1.6 * line)));
  for (const [axis, edge, side] of [[chart.y, field.left - 5, "right"],
    [chart.right, field.right + 5, "left"]]) {
    if (!axis) continue;
    const up = ticks(axis, most);
    if (axis === chart.y) {
      for (const [values, tone] of [[up.minor, ground.faint], [up.major, ground.grid]]) {
        for (const value of values) {
          const y = crisp(upPx(plan, axis, value));
          rule(sheet, field.left, y, field.right, y, tone);
        }
      }
    }
    up.major.forEach((value, k) => {
      say(sheet, up.labels[k], edge, upPx(plan, axis, value) + 0.34 * size, ground.quiet, side);
    });
  }
}

function frame(sheet) {
  const { ctx, plan, chart, palette: { ground } } = sheet;
  const { field, line } = plan;
  ctx.strokeStyle = ground.quiet;
  ctx.lineWidth = 1;
  ctx.setLineDash([]);
  ctx.strokeRect(field.left + 0.5, field.top + 0.5, field.right - field.left,
    field.bottom - field.top);
  say(sheet, chart.y.heading, 1, line - 2, ground.quiet);
  if (chart.right) {
    say(sheet, chart.right.heading, plan.width - 1, line - 2, ground.quiet, "right");
  }
}

function edges(sheet, region) {
  const { plan, chart } = sheet;
  const { field } = plan;
  const clamp = (value) => Math.max(field.top, Math.min(field.bottom, value));
  const x = Float64Array.from(region.x, (v) => acrossPx(plan, v));
  const upper = new Float64Array(x.length);
  const lower = new Float64Array(x.length);
  for (let k = 0; k < x.length; k++) {
    const low = chart.y.scale === "log" && region.low[k] <= 0 ? field.bottom
      : upPx(plan, chart.y, region.low[k]);
    const high = upPx(plan, chart.y, region.high[k]);
    const lost = Number.isNaN(low) || Number.isNaN(high);
    upper[k] = lost ? field.bottom : clamp(high);
    lower[k] = lost ? field.bottom : clamp(low);
  }
  return { x, upper, lower };
}

function shade(sheet, region) {
  const { ctx, plan: { field }, palette } = sheet;
  if (region.x.length < 2) return;
  const { x, upper, lower } = edges(sheet, region);
  const last = x.length - 1;
  inField(sheet, () => {
    ctx.beginPath();
    ctx.moveTo(x[0], upper[0]);
    for (let k = 1; k <= last; k++) ctx.lineTo(x[k], upper[k]);
    for (let k = last; k >= 0; k--) ctx.lineTo(x[k], lower[k]);
    ctx.closePath();
    ctx.globalAlpha = 0.13;
    ctx.fillStyle = palette.parts.limit;
    ctx.fill();
    ctx.globalAlpha = 1;
    for (const edge of [upper, lower]) {
      stroke(ctx, x, edge.map((y) => (y > field.top && y < field.bottom ? y : NaN)),
        palette.parts.limit, 0.8, []);
    }
  });
}

function stroke(ctx, x, y, tone, width, dashes) {
  ctx.strokeStyle = tone;
  ctx.lineWidth = width;
  ctx.lineJoin = "round";
  ctx.lineCap = dashes.length ? "butt" : "round";
  ctx.setLineDash(dashes.map((part) => part * width));
  ctx.beginPath();
  let down = false;
  for (let k = 0; k < x.length; k++) {
    if (!Number.isFinite(y[k]) || !Number.isFinite(x[k])) {
      down = false;
    } else if (down) {
      ctx.lineTo(x[k], y[k]);
    } else {
      ctx.moveTo(x[k], y[k]);
      down = true;
    }
  }
  ctx.stroke();
  ctx.setLineDash([]);
}

function heldCurves(sheet, name, other, traced) {
  const { ctx, plan, chart, palette } = sheet;
  let first = true;
  for (const curve of other.curves) {
    const axis = axisOf(chart, curve);
    if (!axis) continue;
    const [x, y] = trace(plan, axis, curve.x, curve.y, curve.rising);
    inField(sheet, () => {
      ctx.globalAlpha = 0.5;
      stroke(ctx, x, y, palette.parts[curve.part], 0.9, palette.lines[curve.evidence]);
      ctx.globalAlpha = 1;
    });
    if (first) {
      traced.push({ curve, x, y, text: `held: ${name}`, tone: palette.ground.quiet });
      sheet.placer.keepClear(x, y);
    }
    first = false;
  }
}

function draw(sheet, curve, traced) {
  const { ctx, plan, chart, palette } = sheet;
  const axis = axisOf(chart, curve);
  const tone = palette.parts[curve.part];
  const width = (curve.part === "sum" ? 2 : 1.6) * (plan.size / 13);
  const dashes = palette.lines[curve.evidence];
  const [x, y] = trace(plan, axis, curve.x, curve.y, curve.rising);
  inField(sheet, () => {
    if (curve.band) tolerance(sheet, curve, axis, tone);
    if (!curve.valid) {
      stroke(ctx, x, y, tone, width, dashes);
      return;
    }
    const [first, last] = validPx(plan, curve);
    const parts = [[plan.field.left, first, palette.ground.outside], [first, last, tone],
      [last, plan.field.right, palette.ground.outside]];
    for (const [low, high, shadeOf] of parts) {
      if (!(high > low)) continue;
      ctx.save();
      ctx.beginPath();
      ctx.rect(low, plan.field.top, high - low, plan.field.bottom - plan.field.top);
      ctx.clip();
      stroke(ctx, x, y, shadeOf, width, dashes);
      ctx.restore();
    }
  });
  sheet.placer.keepClear(x, y);
  traced.push({ curve, x, y, text: curve.name, tone });
}

function validPx(plan, curve) {
  const { left, right } = plan.field;
  const clamp = (value) => Math.max(left, Math.min(right, value));
  const [low, high] = curve.valid;
  const first = low === null || (plan.x.scale === "log" && low <= 0) ? left
    : clamp(acrossPx(plan, low));
  const last = high === null ? right : clamp(acrossPx(plan, high));
  return [first, Number.isNaN(last) ? left : last];
}

function tolerance(sheet, curve, axis, tone) {
  const { ctx, plan } = sheet;
  const [x, under] = trace(plan, axis, curve.x, curve.band[0], curve.rising);
  const [, over] = trace(plan, axis, curve.x, curve.band[1], curve.rising);
  ctx.globalAlpha = 0.15;
  ctx.fillStyle = tone;
  let start = 0;
  for (let k = 0; k <= x.length; k++) {
    if (k < x.length && Number.isFinite(under[k]) && Number.isFinite(over[k])) continue;
    if (k - start > 1) {
      ctx.beginPath();
      ctx.moveTo(x[start], over[start]);
      for (let n = start + 1; n < k; n++) ctx.lineTo(x[n], over[n]);
      for (let n = k - 1; n >= start; n--) ctx.lineTo(x[n], under[n]);
      ctx.closePath();
      ctx.fill();
    }
    start = k + 1;
  }
  ctx.globalAlpha = 1;
}

function put(sheet, lines, spots, tone) {
  const { ctx, plan: { size, line, field } } = sheet;
  if (!spots.length || !lines.some((text) => text.trim())) return;
  ctx.font = typeface(size);
  const room = field.right - field.left - 6;
  const fitted = lines.map((text) => shortened(ctx, text, room));
  const width = Math.max(...fitted.map((text) => ctx.measureText(text).width));
  const spot = sheet.placer.best(spots, width, line * fitted.length);
  if (!spot) return;
  fitted.forEach((text, k) => {
    say(sheet, text, spot[0], spot[1] + size * 0.98 + k * line, tone, "left", true);
  });
}

function shortened(ctx, text, room) {
  if (ctx.measureText(text).width <= room) return text;
  let fits = text.length;
  while (fits > 0 && ctx.measureText(`${text.slice(0, fits)}…`).width > room) fits -= 1;
  return `${text.slice(0, fits).trimEnd()}…`;
}

function point(sheet, mark) {
  const { ctx, plan, chart, palette: { ground } } = sheet;
  const { field, line } = plan;
  const x = acrossPx(plan, mark.x);
  if (!(x >= field.left - 0.5 && x <= field.right + 0.5)) return;
  ctx.font = typeface(plan.size);
  const width = ctx.measureText(mark.text).width;
  const spots = [];
  if (mark.y === null) {
    rule(sheet, crisp(x), field.top, crisp(x), field.bottom, ground.ink);
    sheet.placer.keepClear([x, x], [field.top, field.bottom]);
    for (let row = 0; row < 6; row++) {
      const y = field.top + 2 + row * line;
      spots.push([x + 4, y], [x - 4 - width, y]);
    }
  } else {
    const y = upPx(plan, chart.y, mark.y);
    if (!(y >= field.top - 0.5 && y <= field.bottom + 0.5)) return;
    ctx.beginPath();
    ctx.arc(x, y, 4, 0, 2 * Math.PI);
    ctx.fillStyle = ground.paper;
    ctx.fill();
    ctx.strokeStyle = ground.ink;
    ctx.lineWidth = 1.2;
    ctx.stroke();
    for (const dy of [-line - 4, 4, -2 * line, 1.4 * line]) {
      for (const dx of [6, -6 - width, -width / 2]) spots.push([x + dx, y + dy]);
    }
  }
  put(sheet, [mark.text], spots, ground.ink);
}

function reason(sheet, region) {
  const { ctx, plan: { size, line, field }, palette } = sheet;
  if (!region.reason || region.x.length < 2) return;
  const { x, upper, lower } = edges(sheet, region);
  const first = Math.max(field.left, x[0]);
  const last = Math.min(field.right, x[x.length - 1]);
  if (!(last - first > size)) return;
  const seen = Float64Array.from({ length: 60 }, (_, k) => first + ((last - first) * k) / 59);
  const over = seen.map((place) => interpolated(x, upper, place));
  const under = seen.map((place) => interpolated(x, lower, place));
  ctx.font = typeface(size);
  for (let count = 1; count <= 4; count++) {
    const lines = wrapped(region.reason, count);
    const width = Math.max(...lines.map((text) => ctx.measureText(text).width));
    const found = fitsInBand(seen, over, under, width, line * lines.length);
    if (found.fits || count === 4) {
      put(sheet, found.fits ? lines : [region.reason], found.spots, palette.parts.limit);
      return;
    }
  }
}

function names(sheet, traced) {
  const { ctx, plan, palette } = sheet;
  const { field, size, line } = plan;
  const placed = new Set();
  for (const end of endPlaces(plan)) {
    const tone = end.part ? palette.parts[end.part] : palette.ground.quiet;
    rule(sheet, field.right + 1, end.y, field.right + 9, end.at, tone, 0.8);
    say(sheet, end.text, field.right + 12, end.at + 0.34 * size, tone);
    placed.add(end.curve);
  }
  ctx.font = typeface(size);
  for (const { curve, x, y, text, tone } of traced) {
    if (placed.has(curve)) continue;
    const width = ctx.measureText(text).width;
    put(sheet, [text], sheet.placer.along(x, y, width, line), tone);
  }
}
