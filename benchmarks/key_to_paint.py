"""How long a key on a live slider takes until what it moves is painted; gates nothing.

    python benchmarks/key_to_paint.py [STEPS] [PAGE ...]

Starts the workbench on a copy of the harbour hall and drives every slider, found by its role, of
the brief's, the bass's and the cabinet's page in Debian's Chromium without a graphics card. Printed
are two tables: from the key's event until after the frame in which the last thing that follows was
painted. What follows is, on the bass's page, every chart in view; elsewhere the figures beside the
sliders, and where none of them rests on the slider, the value in its own field. The cabinet's
solid is worked out when the hand rests; its times stand by themselves.
"""

from __future__ import annotations

import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

EXAMPLE = Path(__file__).parents[1] / "examples" / "harbour-hall"
PAGES = ("brief", "bass", "cabinet")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-first-run"]
CHARTS = {"calm": 150, "patience": 3000, "what": "charts"}
WORDS = {"calm": 150, "patience": 3000, "what": "words"}
SIZES = {"calm": 150, "patience": 3000, "what": "sizes"}
VALUE = {"calm": 150, "patience": 3000, "what": "value"}
SOLID = {"calm": 400, "patience": 15000, "what": "solid"}
AT_ONCE = {"calm": 300, "patience": 1500, "what": "solid", "once": True}  # refined afterwards
WATCH = """() => {
  // changes of words on the page, and of the sizes that follow: but for the sliders' own fields
  const places = { words: ".sw-page, .sw-findings", sizes: ".sw-state, .sw-bench" };
  const told = { words: 0, sizes: 0 };
  new MutationObserver((changes) => {
    for (const what of Object.keys(told)) {
      if (changes.some((change) => {
        const place = change.target.nodeType === 1 ? change.target : change.target.parentElement;
        return place?.closest(places[what]) && !place.closest(".sw-turn, .sw-figure");
      })) told[what] += 1;
    }
  }).observe(document.body, { subtree: true, childList: true, characterData: true,
    attributes: true, attributeFilter: ["placeholder"] });
  const inView = (chart) => {
    const box = chart.base.getBoundingClientRect();
    return box.bottom > 0 && box.top < innerHeight && box.width > 0;
  };
  const looks = {
    charts: () => [...(window.__charts?.values() ?? [])].filter(inView)
      .map((chart) => chart.paintedRevision),
    words: () => [told.words],
    sizes: () => [told.sizes],
    value: () => [document.activeElement?.closest(".sw-turn")?.querySelector("input")?.value],
    solid: () => [...(window.__solids?.values() ?? [])]
      .map((view) => view.renderer.info.render.frame),
  };
  window.follow = { calm: 150, patience: 3000, what: "charts" };
  document.addEventListener("keydown", (event) => {
    const { calm, patience, what, once } = window.follow;
    const seen = looks[what]();
    const moved = new Set();
    let last = 0;
    window.painted = new Promise((done) => {
      const look = () => {
        const now = performance.now() - event.timeStamp;
        looks[what]().forEach((state, k) => {
          if (state !== seen[k]) { seen[k] = state; moved.add(k); last = once && last || now; }
        });
        if ((moved.size && now - last > calm) || now > patience) return done([last, moved.size]);
        requestAnimationFrame(look);
      };
      requestAnimationFrame(look);
    });
  }, true);
}"""


@contextmanager
def workbench() -> Iterator[str]:
    """The address of a workbench on a copy of the example, until the end of the block."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        project = Path(folder) / "hall"
        shutil.copytree(EXAMPLE, project, ignore=shutil.ignore_patterns("out", ".work"))
        server = subprocess.Popen(
            [sys.executable, "-m", "speakerwright.cli", "workbench", str(project), "--port",
             str(port), "--no-show"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        address = f"http://127.0.0.1:{port}"
        try:
            for _ in range(100):
                try:
                    urllib.request.urlopen(address)
                    break
                except (urllib.error.URLError, ConnectionError):
                    time.sleep(0.2)
            yield address
        finally:
            server.terminate()
            server.wait(10)


def opened(page: Any, address: str, stage: str) -> list[tuple[str, Any]]:
    """Open a stage's page; its sliders that can be turned, by name."""
    page.goto(f"{address}/{stage}")
    page.wait_for_selector(".sw-turn")
    page.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
    page.wait_for_timeout(2500)
    page.evaluate(WATCH)
    found = []
    for slider in page.get_by_role("slider", disabled=False).all():
        named = slider.locator("xpath=ancestor-or-self::*[@aria-label][1]")
        found.append((str(named.get_attribute("aria-label")).removesuffix(", slider"), slider))
    return found


def times(page: Any, slider: Any, steps: int, follow: dict[str, Any]) -> tuple[list[float], int]:
    """Milliseconds of the steps that changed something, sorted, and how many things followed.

    The first three steps warm up. Then it is turned as far to one side of where it stands as to the
    other: what follows may do so on one side only, as when another limit governs on the other. A
    step after which nothing is painted, or whose value is the same after rounding, is not counted.
    """
    page.evaluate("(follow) => { window.follow = follow; }", follow)
    inner = slider.locator("[tabindex='0']")
    (inner.first if inner.count() else slider).focus()
    fields = slider.locator("xpath=ancestor::*[contains(@class, 'sw-turn')]//input")
    found, things = [], 0
    for k in range(steps + 3):
        before = fields.first.input_value() if fields.count() else str(k)
        page.keyboard.press("ArrowRight" if rising(k, steps) else "ArrowLeft")
        took, moved = page.evaluate("window.painted")
        after = fields.first.input_value() if fields.count() else ""
        if k >= 3 and moved and after != before:
            found.append(float(took))
            things = max(things, moved)
        page.wait_for_timeout(120)
    return sorted(found), things


def rising(k: int, steps: int) -> bool:
    """Whether step `k` turns upward: up, twice as far down and up again, ten each way at most."""
    reach = max(1, min(10, steps // 4))
    return (k + reach) % (4 * reach) < 2 * reach


def row(stage: str, name: str, found: list[float], things: str) -> str:
    """One row of a table."""
    if not found:
        return f"| {stage} | {name} | {things} | 0 | – | – | – |"
    top = found[min(len(found) - 1, int(0.95 * len(found)))]
    return (f"| {stage} | {name} | {things} | {len(found)} | {statistics.median(found):.0f} ms | "
            f"{top:.0f} ms | {found[-1]:.0f} ms |")


def main(steps: int, stages: tuple[str, ...]) -> None:
    """Print a row for every slider: median, 95th percentile and slowest, ms."""
    from playwright.sync_api import sync_playwright

    head = "\n|---|---|---|---|---|---|---|"
    solid = []
    print(f"Load before: {os.getloadavg()[0]:.2f}")
    with workbench() as address, sync_playwright() as play:
        chrome = play.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = chrome.new_page(viewport={"width": 1500, "height": 950})
        print(f"| page | slider | what follows | steps | median | 95 % | slowest |{head}")
        for stage in stages:
            for name, slider in opened(page, address, stage):
                own = slider.evaluate("(e) => Boolean(e.closest('.sw-solid'))")
                if own:  # turned in the browser alone
                    found, _ = times(page, slider, steps, AT_ONCE)
                    print(row(stage, name, found, "the solid"), flush=True)
                    continue
                follow = {"bass": CHARTS, "brief": WORDS}.get(stage, SIZES)
                found, things = times(page, slider, steps, follow)
                what = f"{things} charts" if stage == "bass" else "figures"
                if not found:
                    found, _ = times(page, slider, steps, VALUE)
                    what = "its own value"
                print(row(stage, name, found, what), flush=True)
                if stage == "cabinet":
                    page.wait_for_timeout(3000)
                    found, _ = times(page, slider, max(6, steps // 4), SOLID)
                    solid.append(row(stage, name, found, "the solid, at rest"))
        chrome.close()
    if solid:
        print(f"\n| page | slider | what follows | steps | median | 95 % | slowest |{head}")
        print("\n".join(solid))
    print(f"Load after: {os.getloadavg()[0]:.2f}")


if __name__ == "__main__":
    given = sys.argv[1:]
    count = int(given.pop(0)) if given and given[0].isdigit() else 40
    main(count, tuple(given) or PAGES)
