"""A chamber worked out becomes the sketch of its loading, with the figures of its result."""

from __future__ import annotations

import functools
import math

import pytest

from bass.boxes import NEED
from bass.test_compositions import loaded
from drawing.reading import words
from speakerwright.bass.chapter import chapter
from speakerwright.bass.result import BassResult
from speakerwright.bass.sketch import figure, sketch
from speakerwright.bass.stage import chamber
from speakerwright.design.sections.bass import LOADINGS
from speakerwright.drawing.loading_sketch import TITLES, LoadingSketch
from speakerwright.words.blocks import Figure
from speakerwright.words.units import show


@functools.cache
def worked(loading):
    return chamber(loaded(loading), NEED)


def said(loading, system="metric"):
    found = words(str(sketch(worked(loading), system)))
    return " ".join(text for text, *_ in found).replace("\u202f", " ").replace("\u00a0", " ")


def test_every_loading_has_a_sketch():
    assert list(TITLES) == list(LOADINGS)


SAYS = {
    "closed": ("60 L, resonance ",),
    "vented": ("62 L, tuned to 50 Hz", "2 ports Ø 100 mm, each "),
    "passive-radiator": ("62 L, tuned to ", "passive radiator, Sd 531 cm², moving mass 150 g"),
    "band-pass-4": ("front 30 L, tuned to 70 Hz", "rear 40 L, closed", "front port Ø 120 mm, "),
    "band-pass-6": ("front 30 L, tuned to 80 Hz", "rear 80 L, tuned to 35 Hz",
                    "rear port Ø 100 mm, ", "front port Ø 120 mm, "),
    "transmission-line": ("line 1.7 m along its axis, 600 to 400 cm²", "at 20 % of the length",
                          "fill in 50 % of the length", "quarter wave "),
    "front-horn": ("exponential horn 1.5 m, throat to mouth 250 to 4000 cm²", "rear 40 L, closed",
                   "air before the cone 2 L", "cutoff "),
    "open-baffle": ("500", "900", "250", "450", "resonance "),
}


@pytest.mark.parametrize("loading", LOADINGS)
def test_what_is_decided_is_named(loading):
    found = said(loading)
    assert [text for text in SAYS[loading] if text not in found] == []
    assert f"{TITLES[loading]}, a sketch" in found
    assert "driver, Sd 531 cm²" in found


@pytest.mark.parametrize("loading", LOADINGS)
def test_what_is_worked_out_is_named(loading):
    """The frequency the loading is named by, and every port's length, as the tables show them."""
    result, found = worked(loading), said(loading)
    hertz = show(result.resonance, "frequency").replace("\u202f", " ").replace(".0 ", " ")
    assert f" {hertz}" in found
    for port in result.ports.values():
        length = show(port.length, "length").replace("\u202f", " ").replace(".0 ", " ")
        assert f"{length} long" in found


def test_a_closed_box_tells_its_q():
    assert f"Qtc {worked('closed').qtc:.3f}".rstrip("0") in said("closed")


def test_an_open_baffle_s_distance():
    """2 / pi of the harmonic mean of the edge's distances, here summed around the edge by hand."""
    inverse, count = 0.0, 200_000
    for k in range(count):
        angle = 2.0 * math.pi * (k + 0.5) / count
        inverse += max(abs(math.cos(angle)) / 0.25, abs(math.sin(angle)) / 0.45) / count
    assert sketch(worked("open-baffle")).baffle.path == pytest.approx(
        2.0 / math.pi / inverse, rel=1e-3)


def test_inches():
    assert "2.19 ft³, tuned to 50 Hz" in said("vented", "inch")
    assert "2 ports Ø 3 15/16 in" in said("vented", "inch")


def test_equal_results_give_equal_sketches_drawn_only_when_asked():
    one, other = sketch(worked("vented")), sketch(worked("vented"))
    assert one == other
    assert hash(one) == hash(other)
    assert str(one) == str(other)
    assert isinstance(figure(worked("vented"), "metric").picture, LoadingSketch)


def test_the_chapter_shows_it_first():
    result = BassResult({"main": worked("vented")}, ())
    blocks = chapter(result, {"main": NEED}, "floor", "inch").blocks
    assert isinstance(blocks[0], Figure)
    assert blocks[0].picture == sketch(worked("vented"), "inch")
