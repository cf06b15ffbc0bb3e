"""The cabinet's front on the page, flat and to scale: parts are moved on it by hand or by keys."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any, Literal

from nicegui import ui
from nicegui.events import GenericEventArguments

from speakerwright.drawing.palette import VERDICTS
from speakerwright.words.findings import Verdict
from speakerwright.workbench.charts import palettes
from speakerwright.workbench.frontitems import Front
from speakerwright.workbench.frontplaces import Spot

Moved = Callable[[str, Spot, bool], str]
"""Called with an item's key, its new place in mm, and whether the move has ended; what it returns
is told beside the picture."""


def shown(front: Front, now: Mapping[str, Spot]) -> dict[str, Any]:
    """A front as the page takes it; `now` is where everything stands by the newest design."""
    return {
        "width": front.width, "height": front.height, "outline": front.outline,
        "items": [asdict(item) for item in front.items],
        "at": dict(front.at), "now": {**front.at, **_known(front, now)},
        "boards": front.boards, "fouls": [asdict(foul) for foul in front.fouls],
    }


def _known(front: Front, now: Mapping[str, Spot]) -> dict[str, Spot]:
    return {key: spot for key, spot in now.items() if key in front.at}


class FrontView(ui.element, component="static/front_view.js",
                esm={"speakerwright-front": "static/front", "speakerwright-plot": "static/plot",
                     "speakerwright-solids": "static/solids"}):
    """The front on the page.

    Parameters
    ----------
    units : {"mm", "inch"}
        In which lengths are read out.
    height_px : int
        Height of the picture on the page.
    """

    def __init__(self, units: Literal["mm", "inch"] = "mm", height_px: int = 440) -> None:
        super().__init__()
        self.props["palettes"] = palettes()
        self.props["units"] = units
        self.props["height"] = height_px
        self.props["token"] = f"front-{secrets.token_hex(4)}"
        self.props["cross"] = VERDICTS[Verdict.FAILS].path
        self.front: Front | None = None
        self._now: dict[str, Spot] = {}
        self._seq = 0
        self._answering = False
        self._move: Moved | None = None
        self._open: Callable[[str], None] | None = None
        self.on("moved", self._moved)
        self.on("opened", self._opened)

    def on_move(self, handler: Moved) -> None:
        """Call `handler` for every move, as `Moved` says."""
        self._move = handler

    def on_open(self, handler: Callable[[str], None]) -> None:
        """Call `handler` with the path of the field that was asked for."""
        self._open = handler

    def show(self, front: Front, now: Mapping[str, Spot]) -> None:
        """Show another front, with everything where it stands by the newest design."""
        self.front, self._now = front, _known(front, now)
        self.props["front"] = shown(front, now)
        self.update()

    def place(self, now: Mapping[str, Spot]) -> None:
        """Move what stands elsewhere in a newer design."""
        if self.front is None:
            return
        known = _known(self.front, now)
        if known != self._now:
            self._now = known
            with self.props.suspend_updates():  # "settle" tells it, in a hundredth of the bytes
                self.props["front"]["now"] = {**self.front.at, **known}
            if not self._answering:
                self._send("")

    def _send(self, word: str) -> None:
        self.run_method("settle", self._now, self._seq, word)

    def set_units(self, units: Literal["mm", "inch"]) -> None:
        """Read lengths out in other units from now on."""
        self.props["units"] = units
        self.update()

    def _moved(self, event: GenericEventArguments) -> None:
        told, self._seq = event.args, int(event.args["seq"])
        if self.front is None or self._move is None or told["key"] not in self.front.at:
            return
        x, z = (float(value) for value in told["at"])
        self._answering = True
        try:
            word = self._move(str(told["key"]), (x, z), bool(told["done"]))
        finally:
            self._answering = False
        self._send(word)

    def _opened(self, event: GenericEventArguments) -> None:
        if self.front is not None and self._open is not None:
            self._open(self.front.item(str(event.args["key"])).path)
