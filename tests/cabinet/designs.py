"""Designs for the cabinet's tests, made from parsed text without a folder. All invented."""

from __future__ import annotations

import copy
import math
from pathlib import Path
from typing import Any

from speakerwright.chain import Memo, Workup, work
from speakerwright.design.document import Design
from speakerwright.design.file import read_project

ROOT = Path(__file__).parents[2]
EXAMPLES = ("harbour-hall", "desk-pair", "barn-sub")

WOOFER: dict[str, Any] = {
    "format": 1, "what": "driver", "type": "cone", "name": "Test cone", "mass": "5 kg",
    "datasheet": {
        "re": "5.3 ohm", "fs": "50 Hz", "qms": 5.6, "qes": 0.36, "vas": "40 L", "sd": "300 cm^2",
        "xmax": "5 mm", "power": "200 W",
    },
    "body": {
        "frame": "200 mm", "cutout": "180 mm", "flange": "6 mm", "depth": "90 mm",
        "magnet_diameter": "120 mm", "magnet_height": "40 mm",
    },
}
PLAIN: dict[str, Any] = {
    "format": 1,
    "brief": {"use": "A test.", "lowest": "50 Hz",
              "level": {"average": "80 dB", "crest": "6 dB"},
              "seats": {"nearest": "2 m", "farthest": "4 m"},
              "amplifier": {"power": "200 W", "load": "8 ohm", "peak_voltage": "60 V",
                            "peak_current": "15 A"},
              "place": {"kind": "free"}},
    "drivers": {"low": {"record": "cone"}},
    "bass": {"main": {"loads": ["low"], "loading": "closed", "volume": "30 L"}},
    "directivity": {"low": {"at": [["0 mm", "300 mm"]]}},
    "cabinet": {"width": "300 mm", "height": "500 mm", "depth": "300 mm", "sheet": "18 mm"},
    "plan": {"title": "A test", "date": "2026-01-01"},
}


def raw(**sections: Any) -> dict[str, Any]:
    """The plain design's text with whole sections put in or (None) taken out."""
    made = copy.deepcopy(PLAIN)
    for name, section in sections.items():
        if section is None:
            made.pop(name, None)
        else:
            made[name] = section
    return made


def record(**body: Any) -> dict[str, Any]:
    """The woofer's record with other sizes of its body; None takes one out."""
    made = copy.deepcopy(WOOFER)
    for name, value in body.items():
        if value is None:
            made["body"].pop(name, None)
        else:
            made["body"][name] = value
    return made


def design(records: dict[str, Any] | None = None, **sections: Any) -> Design:
    """The plain design, 300 x 500 x 300 mm of 18 mm with one woofer, or as changed."""
    return Design.read(raw(**sections), records or {"cone": record()})


def worked(records: dict[str, Any] | None = None, **sections: Any) -> Workup:
    """That design worked out, with nothing kept from before."""
    return work(design(records, **sections), Memo())


def cabinet(**changes: Any) -> dict[str, Any]:
    """The plain cabinet's section; None leaves a size free."""
    made = {**PLAIN["cabinet"], **changes}
    return {name: value for name, value in made.items() if value is not None}


def vented(volume: str = "30 L", **port: Any) -> dict[str, Any]:
    """A vented chamber called main."""
    return {"main": {"loads": ["low"], "loading": "vented", "volume": volume, "port": port}}


def example(name: str) -> Workup:
    """An example, worked out afresh."""
    return work(read_project(ROOT / "examples" / name).design, Memo())


def finding(found: Workup, rule: str, stage: str = "cabinet") -> Any:
    """The one finding of a rule."""
    (one,) = [f for f in found.findings[stage] if f.rule == rule]
    return one


def cone_volume(behind: float = 18.0, recess: float = 0.0) -> float:
    """Volume (mm³) of the test cone deeper than `behind`, flange on the face: a frustum by hand."""
    start = behind - recess
    mouth, end, basket, magnet = 90.0, 60.0, 50.0, 40.0
    r = mouth + (end - mouth) * start / basket
    frustum = math.pi * (basket - start) / 3.0 * (r * r + r * end + end * end)
    return frustum + math.pi * end * end * magnet
