// Whether two things want the same place: convex outlines layer by layer, for a first look while
// something is moved. The solids decide when they are worked out.

const TOUCHING_MM = 0.2; // rule of thumb: outlines have corners where the solids are round

// An outline that is a circle or a rectangle, as corners about its centre.
export function corners(outline, count = 48) {
  if (outline.length === 2) {
    const [w, h] = outline.map((size) => size / 2);
    return [[-w, -h], [w, -h], [w, h], [-w, h]];
  }
  return Array.from({ length: outline.length ? count : 0 }, (_, k) => {
    const turn = (2 * Math.PI * k) / count;
    return [(outline[0] / 2) * Math.cos(turn), (outline[0] / 2) * Math.sin(turn)];
  });
}

function box(shape, [x, z]) {
  const xs = shape.map((corner) => corner[0] + x);
  const zs = shape.map((corner) => corner[1] + z);
  return [Math.min(...xs), Math.min(...zs), Math.max(...xs), Math.max(...zs)];
}

function apart(one, other, shift) {
  return one.some(([x0, z0], k) => {
    const [x1, z1] = one[(k + 1) % one.length];
    const size = Math.hypot(x1 - x0, z1 - z0);
    if (size < 1e-6) return false;
    const [nx, nz] = [(z1 - z0) / size, (x0 - x1) / size];
    const reach = (shape, dx, dz) => shape.map(([x, z]) => (x + dx) * nx + (z + dz) * nz);
    const a = reach(one, 0, 0);
    const b = reach(other, ...shift);
    return Math.min(Math.max(...a) - Math.min(...b), Math.max(...b) - Math.min(...a)) < TOUCHING_MM;
  });
}

// Where two outlines overlap by more than they may touch, about the middle; else null.
export function common(one, at, other, to) {
  const a = box(one, at);
  const b = box(other, to);
  const low = [0, 1].map((k) => Math.max(a[k], b[k]));
  const high = [0, 1].map((k) => Math.min(a[k + 2], b[k + 2]));
  if (high.some((end, k) => end - low[k] < TOUCHING_MM)) return null;
  const shift = [to[0] - at[0], to[1] - at[1]];
  if (apart(one, other, shift) || apart(other, one, [-shift[0], -shift[1]])) return null;
  return [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2];
}

export function overlap(one, at, other, to) {
  for (const [near, far, shape] of one) {
    for (const [front, back, across] of other) {
      if (Math.min(far, back) - Math.max(near, front) < TOUCHING_MM) continue;
      const found = common(shape, at, across, to);
      if (found) return found;
    }
  }
  return null;
}

const SEEN = new Set(["driver", "horn", "port", "slot"]);

// What fouls what: the solids' word where nothing has moved since, and whose faces overlap.
export function fouls(front, at) {
  const { items } = front;
  const still = items.every(({ key }) => front.at[key]?.every(
    (value, k) => Math.abs(value - at[key][k]) < 0.01));
  const found = still ? front.fouls.map(({ names, at: spot }) => ({ names, at: spot })) : [];
  const known = new Set(found.map(({ names }) => [...names].sort().join("\n")));
  const add = (names, spot) => {
    const pair = [...names].sort().join("\n");
    if (spot && !known.has(pair)) {
      known.add(pair);
      found.push({ names, at: spot });
    }
  };
  items.forEach((one, k) => {
    const place = at[one.key];
    for (const other of items.slice(k + 1)) {
      const names = [one.name, other.name];
      if (SEEN.has(one.kind) && SEEN.has(other.kind)) {
        const shapes = [one, other].map(({ face }) => corners(face));
        if (shapes.every(({ length }) => length)) {
          add(names, common(shapes[0], place, shapes[1], at[other.key]));
        }
      }
      if (!still) add(names, overlap(one.layers, place, other.layers, at[other.key]));
    }
    if (still) return;
    for (const [name, layers] of front.boards) {
      add([one.name, name], overlap(one.layers, place, layers, [0, 0]));
    }
  });
  return found;
}
