// Where words go: near what they name, clear of curves and of each other. Pixels, y downwards.

export class Placer {
  constructor(field) {
    this.field = field;
    this.points = [];
    this.boxes = [];
  }

  // Remember a line that words should not cross, by points a few pixels apart.
  keepClear(x, y) {
    const { left, right, top, bottom } = this.field;
    let lastX = NaN;
    let lastY = NaN;
    for (let k = 0; k < x.length; k++) {
      if (!Number.isFinite(x[k]) || !Number.isFinite(y[k])) {
        lastX = NaN;
        continue;
      }
      const steps = Number.isFinite(lastX)
        ? Math.min(60, Math.ceil(Math.hypot(x[k] - lastX, y[k] - lastY) / 4)) : 1;
      for (let s = 1; s <= steps; s++) {
        const px = steps === 1 ? x[k] : lastX + ((x[k] - lastX) * s) / steps;
        const py = steps === 1 ? y[k] : lastY + ((y[k] - lastY) * s) / steps;
        if (px >= left - 4 && px <= right + 4 && py >= top - 4 && py <= bottom + 4) {
          this.points.push(px, py);
        }
      }
      lastX = x[k];
      lastY = y[k];
    }
  }

  // The best of the spots (upper left corners, the most wanted first), moved into the field.
  best(spots, width, height) {
    const { left, right, top, bottom } = this.field;
    let found = null;
    let least = Infinity;
    spots.forEach((spot, rank) => {
      const x = Math.max(Math.min(spot[0], right - width - 3), left + 3);
      const y = Math.max(Math.min(spot[1], bottom - height - 2), top + 2);
      const base = 0.02 * rank;
      if (base >= least) return;
      const cost = base + this.cost(x, y, width, height);
      if (cost < least) {
        least = cost;
        found = [x, y];
      }
    });
    if (found) this.boxes.push([found[0], found[1], found[0] + width, found[1] + height]);
    return found;
  }

  cost(x, y, width, height) {
    let cost = 0;
    const points = this.points;
    for (let k = 0; k < points.length; k += 2) {
      if (points[k] > x - 1 && points[k] < x + width + 1 && points[k + 1] > y - 1
        && points[k + 1] < y + height + 1) cost += 1;
    }
    for (const [left, top, right, bottom] of this.boxes) {
      const over = Math.min(right, x + width) - Math.max(left, x);
      const tall = Math.min(bottom, y + height) - Math.max(top, y);
      if (over > 0 && tall > 0) cost += 50 + 0.3 * over * tall;
    }
    return cost;
  }

  // Spots above and below a line, the ones near its visible end first.
  along(x, y, width, height) {
    const { left, right, top, bottom } = this.field;
    const seen = [];
    for (let k = 0; k < x.length; k++) {
      if (x[k] >= left && x[k] <= right && y[k] >= top && y[k] <= bottom) seen.push(k);
    }
    if (!seen.length) return [];
    const spots = [];
    const count = Math.min(40, seen.length);
    for (let n = count - 1; n >= 0; n--) {
      const k = seen[count === 1 ? 0 : Math.round((n * (seen.length - 1)) / (count - 1))];
      spots.push([x[k] - width / 2, y[k] - height - 2], [x[k] - width / 2, y[k] + 2],
        [x[k] + 4, y[k] - height / 2], [x[k] - width - 4, y[k] - height / 2]);
    }
    return spots;
  }
}

// Spots for a word inside a band given by places x and edges, the roomiest first, and whether
// the word fits there.
export function fitsInBand(x, upper, lower, width, height) {
  const first = x[0] + 4;
  const last = x[x.length - 1] - 4;
  const found = [];
  for (let n = 0; n < 25; n++) {
    const start = first + (n / 24) * Math.max(0, last - width - first);
    let over = -Infinity;
    let under = Infinity;
    for (let k = 0; k < 12; k++) {
      const place = start + (width * k) / 11;
      over = Math.max(over, interpolated(x, upper, place));
      under = Math.min(under, interpolated(x, lower, place));
    }
    found.push([under - over, start, (over + under - height) / 2]);
  }
  found.sort((a, b) => b[0] - a[0]);
  const roomy = found.filter(([room]) => room >= height);
  const spots = [];
  for (const [room, start, middle] of roomy.length ? roomy : found.slice(0, 1)) {
    const free = Math.max(0, (room - height) / 2 - 2);
    spots.push([start, middle], [start, middle - free], [start, middle + free]);
  }
  return { spots, fits: roomy.length > 0 && last - first >= width };
}

export function interpolated(x, y, place) {
  let k = 1;
  while (k < x.length - 1 && x[k] < place) k += 1;
  const span = x[k] - x[k - 1];
  const part = span > 0 ? Math.min(1, Math.max(0, (place - x[k - 1]) / span)) : 1;
  return y[k - 1] + part * (y[k] - y[k - 1]);
}

// Text broken at spaces into at most `lines` lines of about the same length.
export function wrapped(text, lines) {
  const words = text.split(" ");
  let most = Math.max(text.length / lines, ...words.map((word) => word.length));
  for (;;) {
    const found = [words[0]];
    for (const word of words.slice(1)) {
      const last = found[found.length - 1];
      if (last.length + 1 + word.length <= most) found[found.length - 1] = `${last} ${word}`;
      else found.push(word);
    }
    if (found.length <= lines) return found;
    most += 1;
  }
}

// Places at least `apart` from each other, near the wanted ones (sorted downwards the page).
export function spread(wanted, apart, low, high) {
  const places = [...wanted];
  for (let k = 1; k < places.length; k++) places[k] = Math.max(places[k], places[k - 1] + apart);
  const over = places.length ? Math.max(0, places[places.length - 1] - high) : 0;
  if (over) {
    places[places.length - 1] -= over;
    for (let k = places.length - 2; k >= 0; k--) {
      places[k] = Math.min(places[k], places[k + 1] - apart);
    }
  }
  const under = places.length ? Math.max(0, low - places[0]) : 0;
  return under ? places.map((place) => place + under) : places;
}
