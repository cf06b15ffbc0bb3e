// Divisions of an axis and how numbers are written, by the same rules as on paper.

const THIN_SPACE = "\u2009";

export function fraction(axis, value) {
  if (axis.scale === "linear") return (value - axis.low) / (axis.high - axis.low);
  return value > 0 ? Math.log(value / axis.low) / Math.log(axis.high / axis.low) : NaN;
}

export function valueAt(axis, part) {
  if (axis.scale === "linear") return axis.low + part * (axis.high - axis.low);
  return axis.low * (axis.high / axis.low) ** part;
}

export function niceStep(span, most) {
  const least = span / most;
  const power = 10 ** Math.floor(Math.log10(least));
  for (const lead of [1, 2, 5]) if (lead * power >= least * (1 - 1e-9)) return lead * power;
  return 10 * power;
}

// {major, labels, minor}, all in the axis's unit, with at most about `most` labels.
export function ticks(axis, most) {
  if (axis.scale === "log") {
    const found = logTicks(axis, most);
    if (found) return found;
  }
  let step = axis.step || niceStep(axis.high - axis.low, Math.min(most, 8));
  while ((axis.high - axis.low) / step > 3 * most) step *= 2;
  const first = Math.ceil(axis.low / step - 1e-9);
  const last = Math.floor(axis.high / step + 1e-9);
  const major = [];
  for (let count = first; count <= last; count++) major.push(step * count);
  return { major, labels: major.map((v) => number(v, axis.scale === "log")), minor: [] };
}

function logTicks(axis, most) {
  const inside = [];
  const top = Math.ceil(Math.log10(axis.high));
  for (let decade = Math.floor(Math.log10(axis.low)); decade <= top; decade++) {
    for (let digit = 1; digit < 10; digit++) {
      const value = digit * 10 ** decade;
      if (value >= axis.low * (1 - 1e-9) && value <= axis.high * (1 + 1e-9)) {
        inside.push([digit, value]);
      }
    }
  }
  let major = inside.filter(([d]) => d === 1 || d === 2 || d === 5).map(([, v]) => v);
  if (major.length > most) {
    major = inside.filter(([d]) => d === 1).map(([, v]) => v);
    const every = Math.ceil(major.length / most);
    major = major.filter((_, k) => k % every === 0);
  }
  if (major.length < 2) return null;
  const labelled = new Set(major);
  const minor = inside.map(([, v]) => v).filter((v) => !labelled.has(v));
  return { major, labels: major.map((v) => number(v, true)), minor };
}

// A label of an axis: "2k" for 2000 where thousands are shortened, a true minus.
export function number(value, thousands) {
  if (thousands && Math.abs(value) >= 1000) return `${number(value / 1000, false)}k`;
  const short = Number(value.toPrecision(6));
  let text = String(short);
  if (short !== 0 && Math.abs(short) < 1e-4) {
    text = value.toFixed(9).replace(/0+$/, "").replace(/\.$/, "");
  } else if (Math.abs(short) >= 1e6) {
    const [lead, power] = short.toExponential().split("e");
    text = `${lead}e${power[0]}${power.slice(1).padStart(2, "0")}`;
  }
  return text === "-0" || text === "" ? "0" : text.replaceAll("-", "\u2212");
}

// A figure as it is read out: dB with one decimal, all else with three digits, and its unit.
export function figure(value, unit) {
  if (!Number.isFinite(value)) return "\u2013";
  const level = unit.split(" ")[0] === "dB";
  let text = level ? value.toFixed(1) : String(Number(value.toPrecision(3)));
  if (!level && Math.abs(value) < 1000 && Math.abs(value) >= 0.01) {
    const lead = Math.floor(Math.log10(Math.abs(Number(value.toPrecision(3)))));
    text = value.toFixed(Math.max(0, 2 - lead));
  }
  if (/^-0(\.0*)?$/.test(text)) text = text.slice(1);
  const whole = text.match(/^-?(\d{5,})$/);
  if (whole) text = text.replace(/\B(?=(\d{3})+$)/g, THIN_SPACE);
  return text.replaceAll("-", "\u2212") + (unit ? THIN_SPACE + unit : "");
}
