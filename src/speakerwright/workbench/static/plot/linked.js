// What charts of one page share: the theme, the typeface, and by axis the cursor and the zoom.

const plots = new Set();
const groups = new Map();
let faces = null;

export function axisName(axis) {
  return [axis.label, axis.unit, axis.scale].join("|");
}

export function group(axis) {
  const name = axisName(axis);
  if (!groups.has(name)) groups.set(name, { cursor: null, view: null });
  return groups.get(name);
}

function members(axis) {
  const name = axisName(axis);
  return [...plots].filter((plot) => plot.chart && axisName(plot.chart.x) === name);
}

export function setCursor(axis, x) {
  const shared = group(axis);
  if (shared.cursor === x) return;
  shared.cursor = x;
  for (const plot of members(axis)) plot.invalidateCursor();
}

export function setView(axis, view) {
  group(axis).view = view;
  for (const plot of members(axis)) plot.invalidate();
}

export function isDark() {
  return document.body.classList.contains("body--dark");
}

function repaintAll() {
  for (const plot of plots) plot.invalidate();
}

const themes = new Set();

export function onTheme(call) {
  themes.add(call);
  return () => themes.delete(call);
}

let watching = false;

function watch() {
  if (watching) return;
  watching = true;
  let dark = isDark();
  new MutationObserver(() => {
    if (dark === isDark()) return;
    dark = isDark();
    for (const call of themes) call();
  }).observe(document.body, { attributes: true, attributeFilter: ["class"] });
  window.addEventListener("resize", repaintAll); // also when the page's zoom changes
  themes.add(repaintAll);
}

export const FAMILY = '"Source Sans Pro", sans-serif';

// The one typeface, from our own files.
export function loadFaces(folder) {
  watch();
  if (faces) return faces;
  const wanted = [["Regular", "400"], ["Semibold", "600"]];
  faces = Promise.all(wanted.map(async ([name, weight]) => {
    const face = new FontFace("Source Sans Pro", `url("${folder}/SourceSansPro-${name}.otf")`, {
      weight,
    });
    document.fonts.add(await face.load());
  })).then(repaintAll, repaintAll);
  return faces;
}

export function join(plot) {
  watch();
  plots.add(plot);
}

export function leave(plot) {
  plots.delete(plot);
  if (plot.chart && !members(plot.chart.x).length) groups.delete(axisName(plot.chart.x));
}
