"""Colours stay apart for every reader, lines and marks differ without colour."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
from colorspacious import cspace_convert

from speakerwright.drawing import palette
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Verdict

THEMES = ("light", "dark")
PAIRS = np.triu_indices(len(palette.PARTS), 1)


def rgb(colour):
    return np.array([int(colour[place : place + 2], 16) for place in (1, 3, 5)]) / 255.0


def parts(theme):
    return np.array([rgb(palette.colour(part, theme)) for part in palette.PARTS])


def contrast(one, other):
    """Contrast ratio of two colours, after WCAG 2.1 (formula from memory)."""

    def luminance(colour):
        line = np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4)
        return line @ [0.2126, 0.7152, 0.0722]

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("reader", [None, "protanomaly", "deuteranomaly", "tritanomaly"])
def test_every_two_parts_stay_apart(theme, reader):
    """CAM02-UCS distance, deficiencies at full severity (model of Machado and others, 2009)."""
    seen = parts(theme)
    if reader is not None:
        space = {"name": "sRGB1+CVD", "cvd_type": reader, "severity": 100}
        seen = np.clip(cspace_convert(seen, space, "sRGB1"), 0.0, 1.0)
    place = cspace_convert(seen, "sRGB1", "CAM02-UCS")
    apart = np.linalg.norm(place[:, None] - place[None], axis=-1)[PAIRS]
    assert apart.min() > 17.5


@pytest.mark.parametrize("theme", THEMES)
def test_every_two_parts_differ_in_a_grey_print(theme):
    lightness = np.sort(cspace_convert(parts(theme), "sRGB1", "CIELab")[:, 0])
    assert np.diff(lightness).min() > 7.5


@pytest.mark.parametrize("theme", THEMES)
def test_parts_and_words_stand_out_against_the_ground(theme):
    paper = rgb(palette.ground("paper", theme))
    assert min(contrast(colour, paper) for colour in parts(theme)) > 3.0
    for tone in ("ink", "quiet"):
        assert contrast(rgb(palette.ground(tone, theme)), paper) > 4.5
    for mark in palette.VERDICTS.values():
        assert contrast(rgb(getattr(mark, theme)), paper) > 4.5


def test_an_unknown_part_is_refused():
    with pytest.raises(KeyError):
        palette.colour("tweeter")


def test_lines_say_how_sure():
    assert set(palette.LINES) == set(palette.LINE_WORDS) == set(Evidence)
    assert palette.LINES[Evidence.MEASURED] == ()
    dot, dash = palette.LINES[Evidence.DATASHEET], palette.LINES[Evidence.SIMULATED]
    assert dot[0] <= 1.0 < 3.0 < dash[0]


def test_a_verdict_has_its_own_shape_word_and_colour():
    marks = list(palette.VERDICTS.values())
    assert set(palette.VERDICTS) == set(Verdict)
    for code in ("shape", "word", "light", "dark", "path"):
        assert len({getattr(mark, code) for mark in marks}) == len(marks)
    assert [palette.VERDICTS[verdict].word.lower() for verdict in Verdict] == list(Verdict)
    for mark in marks:
        assert ElementTree.fromstring(mark.svg("dark"))[0].get("fill") == mark.dark
