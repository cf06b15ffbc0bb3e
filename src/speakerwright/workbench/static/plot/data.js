// A chart as it comes over the wire: a header in words and one block of 32-bit floats.

export function bytes(text) {
  const raw = atob(text);
  const found = new Uint8Array(raw.length);
  for (let k = 0; k < raw.length; k++) found[k] = raw.charCodeAt(k);
  return found;
}

export function unpack(header, block) {
  const all = new Float32Array(bytes(block).buffer);
  const take = (place) => place && all.subarray(place[0], place[0] + place[1]);
  const curves = header.curves.map((curve) => {
    const x = take(curve.x);
    return {
      ...curve, x, y: take(curve.y), place: curve.x[0], rising: rises(x),
      band: curve.band && curve.band.map(take),
    };
  });
  const regions = header.regions.map((region) => ({
    ...region, x: take(region.x), low: take(region.low), high: take(region.high),
  }));
  return { ...header, curves, regions };
}

function rises(x) {
  for (let k = 1; k < x.length; k++) if (!(x[k] >= x[k - 1])) return false;
  return true;
}

// y of a curve (or of an edge of its band) at x, between its points; NaN where it has none.
export function valueAtX(curve, x, log, y = curve.y) {
  const along = curve.x;
  const last = along.length - 1;
  if (last < 0 || !curve.rising) return NaN;
  // a place that was itself rounded to 32 bits still counts as the end it was taken from
  const near = 1e-6 * Math.abs(x);
  if (x < along[0] - near || x > along[last] + near) return NaN;
  const at = Math.min(Math.max(x, along[0]), along[last]);
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (along[middle] <= at) low = middle;
    else high = middle;
  }
  if (along[low] === at || high === low) return y[low];
  if (along[high] === at) return y[high];
  const put = log ? Math.log : (v) => v;
  const part = (put(at) - put(along[low])) / (put(along[high]) - put(along[low]));
  return y[low] + part * (y[high] - y[low]);
}

export function isValid(curve, x) {
  if (!curve.valid) return true;
  const [low, high] = curve.valid;
  return (low === null || x >= low) && (high === null || x <= high);
}

function heading(label, unit) {
  return label && unit ? `${label}, ${unit}` : label || unit;
}

// The curves as a table for a spreadsheet: tabs between columns, one x column for each grid.
export function table(chart, held) {
  const columns = [];
  const grids = [];
  const add = (source, suffix) => {
    for (const curve of source.curves) {
      const axis = curve.axis === "right" ? source.right : source.y;
      if (!grids.some((x) => same(x, curve.x))) {
        grids.push(curve.x);
        columns.push([heading(source.x.label, source.x.unit), curve.x]);
      } else if (grids.length > 1 && !same(grids[grids.length - 1], curve.x)) {
        columns.push([heading(source.x.label, source.x.unit), curve.x]);
        grids.push(curve.x);
      }
      const name = `${curve.name}${suffix} (${curve.evidence})`;
      columns.push([heading(name, axis.unit), curve.y]);
      if (curve.band) {
        columns.push([heading(`${name}, lower`, axis.unit), curve.band[0]]);
        columns.push([heading(`${name}, upper`, axis.unit), curve.band[1]]);
      }
    }
  };
  add(chart, "");
  for (const [name, other] of held) add(other, `, held: ${name}`);
  const rows = [columns.map(([title]) => title.replace(/[\t\r\n]+/g, " ")).join("\t")];
  const most = Math.max(0, ...columns.map(([, values]) => values.length));
  for (let k = 0; k < most; k++) rows.push(columns.map(([, values]) => cell(values[k])).join("\t"));
  return rows.join("\n") + "\n";
}

function same(a, b) {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return false;
  return true;
}

function cell(value) {
  return Number.isFinite(value) ? String(Number(value.toPrecision(7))) : "";
}
