"""Report how long a slider's key takes until four charts are painted; no test, nothing is gated.

Run as ``python -m tests.workbench.chart_speed``. The time is from the key's event to after the
frame in which the last of the four charts (3 curves of 241 points each) was painted, and contains
7 ms of work on the server beside its event loop.
"""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

from .chart_browser import browser, served

WATCH = """() => {
  document.addEventListener("keydown", (event) => {
    const before = [...__charts.values()].map((chart) => chart.paintedRevision);
    window.painted = new Promise((done) => {
      const look = () => {
        const all = [...__charts.values()].every((c, k) => c.paintedRevision > before[k]);
        if (!all) return requestAnimationFrame(look);
        const after = new MessageChannel();
        after.port1.onmessage = () => done(performance.now() - event.timeStamp);
        after.port2.postMessage(0);
      };
      requestAnimationFrame(look);
    });
  }, true);
}"""


def measure(steps: int = 60) -> list[float]:
    """Times in ms, sorted."""
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as address, \
            browser() as chrome:
        page = chrome.new_page(viewport={"width": 1300, "height": 900})
        page.goto(f"{address}/speed")
        page.wait_for_function("window.__charts?.size === 4 && "
                               "[...__charts.values()].every((chart) => chart.paints > 0)")
        page.wait_for_timeout(1000)
        page.evaluate(WATCH)
        page.focus(".q-slider [tabindex]")
        found = []
        for _ in range(steps + 4):
            page.keyboard.press("ArrowRight")
            found.append(float(page.evaluate("window.painted")))
            page.wait_for_timeout(120)
    return sorted(found[4:])


if __name__ == "__main__":
    times = measure()
    print(f"key to paint, four charts, {len(times)} steps: "
          f"median {statistics.median(times):.0f} ms, "
          f"p95 {times[int(0.95 * len(times))]:.0f} ms, slowest {times[-1]:.0f} ms")
