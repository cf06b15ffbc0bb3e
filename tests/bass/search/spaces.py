"""Small designs and spaces to search. All drivers invented."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from speakerwright.bass.search.gather import Asked
from speakerwright.bass.search.space import Space
from speakerwright.chain.search import search_space
from speakerwright.design.document import Design
from speakerwright.design.file import read_project

EXAMPLES = Path(__file__).parents[3] / "examples"
DRONE = {
    "format": 1, "what": "passive radiator", "name": "Wagtail 200", "price": 31,
    "datasheet": {"sd": "216 cm^2", "mms": "42 g", "cms": "0.6 mm/N", "rms": "0.9 kg/s",
                  "xmax": "9 mm"},
    "body": {"volume": "0.4 L"},
}
SMALL = Asked(volumes=4, tunings=4)
TINY = Asked(volumes=2, tunings=2, counts=(1,))


@cache
def design(example: str = "desk-pair", *, drone: bool = False) -> Design:
    found = read_project(EXAMPLES / example).design
    if not drone:
        return found
    return Design.read(found.raw, {**found.raw_records, "wagtail-200": DRONE})


def space(example: str = "desk-pair", asked: Asked = SMALL, *, drone: bool = True) -> Space:
    return search_space(design(example, drone=drone), "main", asked)
