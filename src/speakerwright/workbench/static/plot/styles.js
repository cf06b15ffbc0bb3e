// The look of what stands around a chart or a solid, in the page's own colours.

const TEXT = `
.sw-figure { margin: 0; position: relative; font-family: "Source Sans Pro", sans-serif;
  font-size: 0.8125rem; line-height: 1.3; color: var(--sw-ink); min-width: 0; width: 100%; }
.sw-head { display: flex; flex-wrap: wrap; align-items: baseline; gap: 0.1rem 0.75rem; }
.sw-title { font-weight: 600; font-size: 1.08em; flex: 1 1 auto; margin: 0; }
.sw-tools { display: flex; flex-wrap: wrap; gap: 0 0.15rem; }
.sw-button { font: inherit; color: var(--sw-quiet); background: none; border: 0;
  border-radius: 3px; padding: 0.1rem 0.4rem; min-height: 1.5rem; cursor: pointer;
  position: relative; }
.sw-button:hover { color: var(--sw-ink); background: var(--sw-faint); }
.sw-button[aria-pressed="true"] { color: var(--sw-ink); background: var(--sw-grid); }
.sw-figure :is(button, canvas, input, select):focus-visible {
  outline: 2px solid var(--sw-ink); outline-offset: 1px; }
.sw-button[data-tip]:is(:hover, :focus-visible)::after { content: attr(data-tip);
  position: absolute; right: 0; top: 100%; z-index: 5; white-space: nowrap; pointer-events: none;
  padding: 0.15rem 0.45rem; border-radius: 3px; color: var(--sw-paper);
  background: var(--sw-ink); }
.sw-place { position: relative; touch-action: pan-y; }
.sw-place canvas { display: block; }
.sw-place canvas.sw-top { position: absolute; left: 0; top: 0; pointer-events: none; }
.sw-place canvas.sw-base { cursor: crosshair; border-radius: 2px; }
.sw-caption { color: var(--sw-quiet); margin: 0.1rem 0 0; max-width: 46rem; }
.sw-read { position: absolute; pointer-events: none; z-index: 4; padding: 0.2rem 0.45rem;
  border: 1px solid var(--sw-grid); border-radius: 3px; color: var(--sw-ink);
  background: color-mix(in srgb, var(--sw-paper) 92%, transparent);
  font-variant-numeric: tabular-nums; }
.sw-read b { display: block; font-weight: 600; }
.sw-read .sw-row { display: flex; align-items: center; gap: 0.4rem; white-space: nowrap; }
.sw-read .sw-row.sw-outside { color: var(--sw-quiet); }
.sw-read .sw-row.sw-held { opacity: 0.75; }
.sw-read .sw-line { width: 1.4rem; height: 0; border-top: 2px solid; flex: none; }
.sw-read .sw-value { margin-left: auto; padding-left: 0.6rem; }
.sw-status, .sw-spoken { position: absolute; width: 1px; height: 1px; overflow: hidden;
  clip-path: inset(50%); white-space: nowrap; }
.sw-status.sw-seen { width: auto; height: auto; clip-path: none; right: 0; top: 1.8rem; z-index: 5;
  padding: 0.15rem 0.45rem; border-radius: 3px; color: var(--sw-paper);
  background: var(--sw-ink); }
`;

// Put the rules on the page once, with the colours of both themes.
export function styles(palettes, name = "sw-figure-style", more = "") {
  if (document.getElementById(name)) return;
  const colours = (theme) => Object.entries(palettes[theme].ground)
    .map(([word, tone]) => `--sw-${word}: ${tone};`).join(" ");
  const sheet = document.createElement("style");
  sheet.id = name;
  sheet.textContent = `.sw-figure { ${colours("light")} }\n`
    + `.body--dark .sw-figure { ${colours("dark")} }\n${TEXT}${more}`;
  document.head.append(sheet);
}
