"""Every way to load a woofer, as a composition of the same circuit parts."""

from __future__ import annotations

from dataclasses import replace

from speakerwright.bass.inputs import ChamberInput
from speakerwright.bass.loadings.boxes import band_pass, closed, passive, vented
from speakerwright.bass.loadings.lines import horn, line, open_baffle
from speakerwright.bass.loadings.parts import (
    BOX,
    CONE,
    FILL_DOUBT,
    SOURCE,
    TERMINALS,
    Circuit,
    Fact,
    Moving,
    Opening,
)

__all__ = [
    "BOX", "CONE", "SOURCE", "TERMINALS", "Circuit", "Fact", "Moving", "Opening", "circuit",
]

_COMPOSED = {
    "closed": closed,
    "vented": vented,
    "passive-radiator": passive,
    "band-pass-4": band_pass,
    "band-pass-6": band_pass,
    "transmission-line": line,
    "front-horn": horn,
    "open-baffle": open_baffle,
}


def circuit(inputs: ChamberInput) -> Circuit:
    """Compose the network of a chamber by its loading."""
    made = _COMPOSED[inputs.chamber.loading](inputs)
    if inputs.chamber.fill is not None:
        made = replace(made, doubts=(*made.doubts, FILL_DOUBT))
    return made
