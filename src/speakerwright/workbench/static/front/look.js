// The look of the front, in the page's own colours.

export const LOOK = `
.sw-front .sw-front-place { margin-top: 0.3rem; }
.sw-front svg { display: block; width: 100%; height: 100%; overflow: visible; user-select: none; }
.sw-front text { font-size: calc(12px * var(--px)); fill: var(--sw-ink); paint-order: stroke;
  stroke: var(--sw-paper); stroke-width: calc(3px * var(--px)); stroke-linejoin: round;
  pointer-events: none; }
.sw-front :is(line, circle, rect, path) { vector-effect: non-scaling-stroke; }
.sw-front .sw-baffle { fill: var(--sw-paper); stroke: var(--sw-ink); stroke-width: 1.5px; }
.sw-front .sw-centre { stroke: var(--sw-quiet); stroke-width: 0.75px; stroke-dasharray: 12 3 2 3; }
.sw-front .sw-item { --tone: var(--sw-quiet); outline: none; }
.sw-front .is-movable { cursor: grab; touch-action: none; }
.sw-front .is-movable.is-level { cursor: ns-resize; }
.sw-front .is-movable.sw-upright { cursor: ew-resize; }
.sw-front .sw-partition { pointer-events: none; }
.sw-front .sw-partition .sw-face { stroke-dasharray: 2 3; }
.sw-front .is-held { cursor: grabbing; }
.sw-front .sw-face { fill: color-mix(in srgb, var(--tone) 16%, var(--sw-paper));
  stroke: var(--tone); stroke-width: 1.5px; }
.sw-front .sw-inner { fill: color-mix(in srgb, var(--tone) 30%, var(--sw-paper));
  stroke: var(--tone); stroke-width: 0.75px; pointer-events: none; }
.sw-front .sw-port .sw-inner, .sw-front .sw-slot .sw-face { fill: var(--sw-paper); }
.sw-front .is-level .sw-face { fill: none; stroke: var(--sw-quiet); stroke-width: 1px;
  stroke-dasharray: 5 3; }
.sw-front .sw-catch { fill: transparent; stroke: none; }
.sw-front .sw-grip { fill: var(--sw-quiet); stroke: none; }
.sw-front .is-level text { fill: var(--sw-quiet); }
.sw-front .sw-middle, .sw-front .sw-size text { text-anchor: middle; }
.sw-front .is-movable:hover .sw-face, .sw-front .is-chosen .sw-face { stroke-width: 2.5px; }
.sw-front .is-level:hover .sw-face, .sw-front .is-level.is-chosen .sw-face {
  stroke: var(--sw-ink); }
.sw-front .is-chosen .sw-grip, .sw-front .is-level:hover .sw-grip { fill: var(--sw-ink); }
.sw-front .is-fouled .sw-face { stroke: var(--sw-fails); stroke-width: 2.5px; }
.sw-front .is-movable:focus-visible .sw-face { stroke-width: 4px; }
.sw-front .is-movable.is-level:focus-visible .sw-face { stroke-width: 2px;
  stroke-dasharray: none; }
.sw-front .sw-size path { fill: none; stroke: var(--sw-ink); stroke-width: 0.75px; }
.sw-front .sw-size { pointer-events: none; }
.sw-front .sw-size text { font-variant-numeric: tabular-nums; }
.sw-front .sw-foul { pointer-events: none; }
.sw-front .sw-foul circle { fill: var(--sw-paper); stroke: none; }
.sw-front .sw-foul path, .sw-front .sw-front-fails path { fill: var(--sw-fails); }
.sw-front p { margin: 0.3rem 0 0; }
.sw-front .sw-front-read { font-variant-numeric: tabular-nums; min-height: 1.3em; }
.sw-front .sw-front-fails { color: var(--sw-fails); }
.sw-front .sw-front-fails:empty { margin: 0; }
.sw-front .sw-front-fails svg { display: inline; width: 0.75rem; height: 0.75rem;
  margin-right: 0.3rem; vertical-align: -0.05rem; }
.sw-front .sw-front-how { color: var(--sw-quiet); max-width: 30rem; }
`;
