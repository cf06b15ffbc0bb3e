"""Stated scales measured in the plan's PDF: its paths, read back by poppler, against the panel."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from speakerwright.drawing.panel_views import panel_sheet
from speakerwright.drawing.sheets import svg
from speakerwright.plan.document import Cover, pdf
from speakerwright.solids.panels import Placement, cutout, hole, plain
from speakerwright.solids.shapes import rectangle
from speakerwright.words.blocks import Chapter, Figure

MM_PER_POINT = 25.4 / 72.0
TOOL = shutil.which("pdftocairo")
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")

pytestmark = pytest.mark.skipif(TOOL is None and not os.environ.get("CI"),
                                reason="poppler-utils is not installed")


def extents(made: bytes, folder: Path, page: int) -> list[tuple[float, float]]:
    """Width and height in mm of every path on a page."""
    source, picture = folder / "plan.pdf", folder / "page.svg"
    source.write_bytes(made)
    pages = ["-f", str(page), "-l", str(page)]
    subprocess.run([TOOL or "pdftocairo", "-svg", "-noshrink", "-nocenter", *pages, source,
                    picture], check=True)
    found = []
    for element in ET.parse(picture).iter("{http://www.w3.org/2000/svg}path"):
        numbers = [float(n) for n in NUMBER.findall(element.get("d", ""))]
        if len(numbers) < 4 or len(numbers) % 2:
            continue
        points = np.array(numbers).reshape(-1, 2)
        turn = element.get("transform")
        if turn is not None:
            a, b, c, d, e, f = (float(n) for n in NUMBER.findall(turn))
            points = points @ np.array([[a, b], [c, d]]) + (e, f)
        size = np.ptp(points, axis=0) * MM_PER_POINT
        found.append((float(size[0]), float(size[1])))
    return found


@pytest.mark.parametrize(("width", "height"), [(450.0, 938.0), (220.0, 361.3), (564.0, 382.4)])
@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_panel_in_the_plan_has_the_size_that_its_scale_says(width, height, paper, tmp_path):
    place = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    panel = plain("panel", width, height, 18.0, place).with_feature(
        hole(width / 2, height / 2, 100.0, "port"),
        cutout(rectangle(20.0, 20.0, 80.0, 120.0), "window"),
    )
    drawing = panel_sheet(panel)
    made = pdf(Cover("Scale"), [Chapter("cabinet", "Panel", (Figure(svg(drawing), ""),))],
               paper=paper)
    found = extents(made, tmp_path, 2)
    for wanted in ((width, height), (100.0, 100.0), (60.0, 100.0)):
        small = tuple(size / drawing.scale for size in wanted)
        off = min(max(abs(w - small[0]), abs(h - small[1])) for w, h in found)
        assert off < 0.02, f"{wanted} at 1:{drawing.scale} is nowhere on the page"
