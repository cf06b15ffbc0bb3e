// Shortcuts of the workbench, and pointing at a field. A field in which something was typed and
// not taken yet keeps the browser's own undo.
(() => {
  let typed = false;
  document.addEventListener("input", (e) => { if (e.isTrusted) typed = true; }, true);
  for (const kind of ["change", "blur"]) document.addEventListener(kind, () => { typed = false; }, true);
  const writes = (e) => /^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName || "") && e.target.type !== "range";
  document.addEventListener("keydown", (e) => {
    const key = e.key.toLowerCase();
    let what = "";
    if ((e.ctrlKey || e.metaKey) && key === "s") what = "save";
    else if ((e.ctrlKey || e.metaKey) && key === "z" && !(writes(e) && typed)) what = e.shiftKey ? "redo" : "undo";
    else if ((e.ctrlKey || e.metaKey) && key === "y" && !(writes(e) && typed)) what = "redo";
    else if (key === "h" && !e.ctrlKey && !e.metaKey && !e.altKey && !writes(e)) what = "hold";
    if (e.key === "Enter") typed = false;
    if (!what) return;
    e.preventDefault();
    if (what === "save" && document.activeElement) document.activeElement.blur();
    setTimeout(() => emitEvent("sw-key", what), what === "save" ? 60 : 0);
  });
  // A page that is built again gives the focus back to the field that had it.
  let last = "";
  document.addEventListener("focusin", (e) => {
    const part = e.target.closest && e.target.closest("[data-path]");
    last = part ? part.dataset.path : "";
  }, true);
  window.swAgain = () => setTimeout(() => {
    const part = last && document.activeElement === document.body
      && document.querySelector(`[data-path="${CSS.escape(last)}"]`);
    const field = part && part.querySelector("input, select, textarea");
    if (field) field.focus({ preventScroll: true });
  }, 60);
  window.swPoint = (path, tries = 20) => {
    const part = document.querySelector(`[data-path="${CSS.escape(path)}"]`);
    const field = part && part.querySelector("input, select, textarea, button");
    if (!field) { if (tries > 0) setTimeout(() => window.swPoint(path, tries - 1), 50); return; }
    for (let e = part; e; e = e.parentElement) if (e.tagName === "DETAILS") e.open = true;
    part.scrollIntoView({ block: "center" });
    field.focus();
    part.classList.add("is-pointed");
    setTimeout(() => part.classList.remove("is-pointed"), 1600);
  };
})();
