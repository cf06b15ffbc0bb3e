"""What the cabinet weighs, how it stands and who lifts it, folded on its page."""

from __future__ import annotations

from speakerwright import chain
from speakerwright.cabinet.safety_pages import TITLE, blocks
from speakerwright.words.blocks import Heading
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import Field
from speakerwright.workbench.parts import Html, blocks_html, box, folded

__all__ = ["TITLE", "safety_part"]


def safety_part(bench: Bench) -> None:
    """Tables and cautions of the newest cabinet, and the wind that it must stand."""
    with folded(TITLE, classes="sw-all"):
        with box("sw-fields"):
            Field(bench, "brief.place.wind", "Wind it must stand, out of doors",
                  hint="like 15 m/s")
        part = Html(classes="sw-blocks sw-twos")
    seen: tuple[chain.Workup, str] | None = None

    def show() -> None:
        nonlocal seen
        whole = bench.whole
        found = None if whole is None else whole.cabinet
        if whole is None or found is None or seen == (whole, bench.system):
            return
        seen = (whole, bench.system)
        made = blocks(whole.design, found, bench.system)
        part.show(blocks_html(block for block in made if not isinstance(block, Heading)))

    bench.watch(show)
