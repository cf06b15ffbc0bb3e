"""What the bass stage decides, per chamber."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.sections.loadings import (
    Fill,
    FrontChamber,
    FrontHorn,
    Line,
    OpenBaffle,
    Passive,
)
from speakerwright.design.sections.ports import LossQ, Port
from speakerwright.design.values import (
    Capacitance,
    Choice,
    Frequency,
    Name,
    Ratio,
    ResistanceOrZero,
    Section,
    Volume,
    Whole,
    problems,
)

__all__ = ["LOADINGS", "BassChamber", "HighPass", "Losses", "Port"]

# each way to load a woofer, and the parts that it takes and must have
LOADINGS: dict[str, tuple[str, ...]] = {
    "closed": ("volume",),
    "vented": ("volume", "port"),
    "passive-radiator": ("volume", "passive"),
    "band-pass-4": ("volume", "front"),
    "band-pass-6": ("volume", "front", "port"),
    "transmission-line": ("line",),
    "front-horn": ("volume", "horn"),
    "open-baffle": ("baffle",),
}
PARTS = {
    "volume": ("no volume", 'Write it like "60 L".'),
    "port": ("no port", "Add one, or choose another loading."),
    "passive": ("no passive radiator", "Name its record under passive."),
    "front": ("no front chamber", "Give its volume and port under front."),
    "line": ("no line", "Give length, area and mouth_area under line."),
    "horn": ("no horn", "Give throat_area, mouth_area and length under horn."),
    "baffle": ("no baffle", "Give its width and height under baffle."),
}


class Losses(Section):
    """Losses as Q at the tuning (or at the closed-box resonance): leak, absorption, port."""

    leak_q: LossQ | None = 7.0
    absorption_q: LossQ | None = None
    port_q: LossQ | None = 60.0


class HighPass(Section):
    """A protective high-pass: an active filter by order, or a series capacitor, or both."""

    order: Annotated[int, Whole(1, 8)] | None = None
    frequency: Frequency | None = None
    shape: Annotated[str, Choice(("butterworth", "linkwitz-riley"))] = "butterworth"
    q: Ratio | None = None
    capacitor: Capacitance | None = None

    @model_validator(mode="after")
    def _whole(self) -> HighPass:
        found = []
        if (self.order is None) != (self.frequency is None):
            found.append(("order", "a filter needs order and frequency.", "Give both."))
        if self.order is None and self.capacitor is None:
            found.append(("", "it filters nothing.", "Give order and frequency, or a capacitor."))
        if self.q is not None and self.order != 2:
            found.append(("q", "only a second-order filter takes a Q.", "Leave it out."))
        if self.shape == "linkwitz-riley" and self.order is not None and self.order % 2:
            found.append(("shape", "a Linkwitz-Riley filter has an even order.", "Use 2, 4 or 8."))
        if found:
            raise problems(found)
        return self


class BassChamber(Section):
    """One chamber: which drivers it loads, how, with what volume, port, losses and filter."""

    loads: tuple[Name, ...]
    loading: Annotated[str, Choice(tuple(LOADINGS))]
    volume: Volume | None = None
    port: Port | None = None
    passive: Passive | None = None
    front: FrontChamber | None = None
    line: Line | None = None
    horn: FrontHorn | None = None
    baffle: OpenBaffle | None = None
    fill: Fill | None = None
    losses: Losses = Losses()
    high_pass: HighPass | None = None
    source_resistance: ResistanceOrZero = 0.0

    @property
    def net_volume(self) -> float:
        """Net volume of the box behind the cone, m³; raises `ValueError` where there is none."""
        if self.volume is None:
            raise ValueError(f"a {self.loading} has no box")
        return self.volume

    @model_validator(mode="after")
    def _whole(self) -> BassChamber:
        found = []
        if not self.loads:
            found.append(("loads", "the chamber loads no driver.", 'Write it like ["low"].'))
        wanted = LOADINGS[self.loading]
        for part, (nothing, advice) in PARTS.items():
            there = getattr(self, part) is not None
            if part in wanted and not there:
                found.append((part, f"{_a(self.loading)} has {nothing}.", advice))
            elif there and part not in wanted:
                others = [word for word, parts in LOADINGS.items() if part in parts]
                found.append((part, f"{_a(self.loading)} has {nothing.replace('no ', 'a ', 1)}.",
                              f"Leave it out, or say loading = \"{others[0]}\"."))
        if self.fill is not None and self.volume is None:
            found.append(("fill", f"{_a(self.loading)} has no box to fill.", "Leave it out."))
        if found:
            raise problems(found)
        return self


def _a(loading: str) -> str:
    """The loading as a sentence calls it: a closed chamber, an open baffle."""
    words = loading.replace("-", " ")
    words = words if words.endswith(("baffle", "line", "horn")) else f"{words} chamber"
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"
