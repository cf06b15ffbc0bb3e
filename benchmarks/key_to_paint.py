"""How long a key on a live slider takes until the charts on screen are painted; gates nothing.

    python benchmarks/key_to_paint.py [STEPS]

Starts the workbench on a copy of the harbour hall, drives every slider of the bass page in Debian's
Chromium without a graphics card, and prints a table. The time runs from the key's event to after
the frame in which the last chart in view that the slider moves was painted.
"""

from __future__ import annotations

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

EXAMPLE = Path(__file__).parents[1] / "examples" / "harbour-hall"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-first-run"]
WATCH = """() => {
  const inView = (chart) => {
    const box = chart.base.getBoundingClientRect();
    return box.bottom > 0 && box.top < innerHeight && box.width > 0;
  };
  document.addEventListener("keydown", (event) => {
    const seen = [...__charts.values()].filter(inView);
    const painted = seen.map((chart) => chart.paintedRevision);
    const moved = new Set();
    let last = 0;
    window.painted = new Promise((done) => {
      const look = () => {
        const now = performance.now();
        seen.forEach((chart, k) => {
          if (chart.paintedRevision > painted[k]) {
            painted[k] = chart.paintedRevision;
            moved.add(k);
            last = now - event.timeStamp;
          }
        });
        const waited = now - event.timeStamp;
        if ((moved.size && waited - last > 150) || waited > 3000) {
          return done([last || waited, moved.size]);
        }
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


def main(steps: int) -> None:
    """Print a row for every slider: median, 95th percentile and slowest, ms."""
    from playwright.sync_api import sync_playwright

    with workbench() as address, sync_playwright() as play:
        chrome = play.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = chrome.new_page(viewport={"width": 1500, "height": 950})
        page.goto(f"{address}/bass")
        page.wait_for_function("window.__charts?.size > 3 && "
                               "[...__charts.values()].some((chart) => chart.paints > 0)")
        page.wait_for_timeout(2500)
        page.evaluate(WATCH)
        print("| slider | charts moved | steps | median | 95 % | slowest |")
        print("|---|---|---|---|---|---|")
        for slider in page.query_selector_all("[aria-label$=', slider']"):
            name = str(slider.get_attribute("aria-label")).removesuffix(", slider")
            target = slider.query_selector("[tabindex]") or slider
            target.focus()
            times, charts = [], 0
            for k in range(steps + 3):
                page.keyboard.press("ArrowRight" if k % 20 < 10 else "ArrowLeft")
                took, moved = page.evaluate("window.painted")
                if k >= 3 and moved:  # at a turn a step may change nothing after rounding
                    times.append(float(took))
                    charts = max(charts, moved)
                page.wait_for_timeout(120)
            times.sort()
            print(f"| {name} | {charts} | {len(times)} | {statistics.median(times):.0f} ms | "
                  f"{times[int(0.95 * len(times))]:.0f} ms | {times[-1]:.0f} ms |", flush=True)
        chrome.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
