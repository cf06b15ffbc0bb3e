"""Unfolded walls: every wall and field is there, shaded by level, with words that fit."""

from __future__ import annotations

import numpy as np
import pytest

from speakerwright.drawing.sheets import svg
from speakerwright.drawing.unfolded_walls import PLAIN, SHADES, Patch, Wall, shade, unfolded_walls


def ring(u0, v0, u1, v1):
    return np.array([(u0, v0), (u1, v0), (u1, v1), (u0, v1)], dtype=float)


def wall(name, wide, high, *patches):
    return Wall(name, ring(0.0, 0.0, wide, high), patches)


def test_shades_go_by_level():
    fills = [fill for _, fill in SHADES]
    assert [shade(level) for level in (0.0, -20.0, -20.1, -30.0, -39.9, -40.1)] == [
        fills[0], fills[0], fills[1], fills[1], fills[2], fills[3]]
    assert shade(None) == PLAIN
    assert len(set(fills)) == len(fills)


def test_walls_and_words_are_there_and_the_fullest_that_fit():
    words = (("100–200 Hz", "−31.0 dB"), ("100–200 Hz",), ("100",))
    big = Patch(ring(18.0, 18.0, 382.0, 300.0), -31.0, words)
    low = Patch(ring(18.0, 318.0, 382.0, 345.0), -45.0, words)
    tiny = Patch(ring(18.0, 360.0, 30.0, 380.0), None, words)
    made = unfolded_walls("walls", "Walls", [wall("back", 400.0, 400.0, big, low, tiny),
                                             wall("left side", 300.0, 400.0)], "A note.")
    text = svg(made)
    assert text.count("−31.0 dB") == 1
    assert text.count("100–200 Hz") == 2
    assert ">100<" not in text
    for word in ("back", "left side", "A note.", "Shades"):
        assert word in text
    assert f'fill="{shade(-31.0)}"' in text
    assert svg(made) == text


@pytest.mark.parametrize("size", [(180.0, 300.0), (600.0, 2000.0), (1500.0, 300.0)])
def test_any_cabinet_keeps_to_the_page(size):
    walls = [wall(f"wall {k}", *size) for k in range(6)]
    made = unfolded_walls("walls", "Walls", walls)
    assert made.size_mm[0] == 165.0
    assert made.size_mm[1] <= 260.0
    svg(made)  # refuses words that leave the picture


def test_no_wall_is_refused():
    with pytest.raises(ValueError, match="no wall"):
        unfolded_walls("walls", "Walls", [])
