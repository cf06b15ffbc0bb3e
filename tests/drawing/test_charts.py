"""Charts as data: axes, divisions, and what they refuse."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest

from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Region,
    evidence_used,
    frequency_axis,
    level_axis,
    linear_axis,
    nice_step,
    ticks,
)
from speakerwright.words.evidence import Evidence


def chart(x, y, *curves, **more):
    return Chart("key", "Title", x, y, curves, **more)


def test_a_frequency_axis_is_labelled_at_one_two_five():
    found = ticks(frequency_axis(20, 20000))
    assert found.labels == ("20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k")
    assert found.major[0] == pytest.approx(20.0)
    assert found.minor[:4] == pytest.approx((30.0, 40.0, 60.0, 70.0))


def test_a_wide_or_narrow_logarithmic_axis_keeps_a_few_labels():
    assert ticks(frequency_axis(1, 1e5), 8).labels == ("1", "10", "100", "1k", "10k", "100k")
    assert ticks(frequency_axis(21, 48)).labels == ("25", "30", "35", "40", "45")
    assert len(ticks(Axis("", "", 1e-6, 1e9, "log"), 6).labels) <= 6


@pytest.mark.parametrize(
    ("low_db", "high_db", "ends", "step"),
    [(62.0, 98.0, (60.0, 100.0), 5.0), (48.0, 98.0, (40.0, 100.0), 10.0),
     (98.0, 62.0, (60.0, 100.0), 5.0), (-41.0, 0.0, (-50.0, 0.0), 10.0),
     (90.0, 92.0, (75.0, 95.0), 5.0), (0.0, 0.0, (-20.0, 0.0), 5.0)],
)
def test_a_level_axis_has_whole_steps(low_db, high_db, ends, step):
    axis = level_axis(low_db, high_db)
    assert (axis.low, axis.high, axis.step) == (*ends, step)
    assert all(value % step == 0 for value in ticks(axis).major)


def test_a_minus_is_a_minus():
    assert ticks(level_axis(-20, 0)).labels == ("−20", "−15", "−10", "−5", "0")


def test_a_linear_axis_covers_its_values_from_zero():
    axis = linear_axis("Excursion", "mm", [[1.0, 6.6, np.nan], [math.inf]])
    assert (axis.low, axis.high, axis.step) == (0.0, 7.0, 1.0)
    assert linear_axis("", "", [[3.0, 4.0]], zero=False).low == 3.0
    empty = linear_axis("", "", [])
    assert (empty.low, empty.high) == (0.0, 1.0)
    assert linear_axis("", "", [[-2.0, -2.0]], zero=False).low == -2.0


@pytest.mark.parametrize(("span", "step"), [(8.0, 1.0), (8.1, 2.0), (17.0, 5.0), (0.7, 0.1)])
def test_steps_are_one_two_five(span, step):
    assert nice_step(span) == pytest.approx(step)


def test_a_place_on_an_axis():
    assert frequency_axis(20, 20000).fraction(632.4555320336759) == pytest.approx(0.5)
    assert np.isnan(frequency_axis(20, 20000).fraction([0.0, -1.0, np.nan])).all()
    assert Axis("", "", -10, 30).fraction([-10, 0, 30]) == pytest.approx([0.0, 0.25, 1.0])


def test_slopes_look_alike_on_every_response_chart():
    """Fifty decibels are as long as a decade, whatever the ends (IEC 60263, from memory)."""
    wide = chart(frequency_axis(20, 20000), level_axis(50, 100))
    assert wide.height_over_width == pytest.approx(1.0 / 3.0)
    assert chart(frequency_axis(10, 1000), level_axis(60, 100)).height_over_width == 0.4
    assert chart(frequency_axis(), Axis("Impedance", "Ω", 1, 100)).height_over_width is None
    assert chart(Axis("Time", "s", 0, 1), level_axis(50, 100)).height_over_width is None


def test_arrays_are_copied_and_cannot_be_written():
    x = np.array([1.0, 2.0])
    curve = Curve("a", "low", "simulated", x, [3, 4], band=([2, 3], [4, 5]))
    region = Region(x, -np.inf, [1, 2], "why")
    x[0] = 9.0
    for array in (curve.x, curve.y, *curve.band, region.x, region.low, region.high):
        assert array.dtype == np.float64
        assert array[0] != 9.0
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0.0
    assert region.low.tolist() == [-np.inf, -np.inf]


def test_evidence_is_listed_once_weakest_first():
    curves = [Curve(name, "low", kind, [1], [1])
              for name, kind in (("a", "measured"), ("b", "datasheet"), ("c", "measured"))]
    found = evidence_used(chart(frequency_axis(), level_axis(0, 1), *curves))
    assert found == (Evidence.DATASHEET, Evidence.MEASURED)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Axis("", "", 1, 1),
        lambda: Axis("", "", 0, math.inf),
        lambda: Axis("", "", 0, 1, "log"),
        lambda: Axis("", "", 0, 1, "cubic"),
        lambda: Axis("", "", 0, 1, step=0.0),
        lambda: level_axis(math.nan, 1),
        lambda: Curve("a", "tweeter", "simulated", [1], [1]),
        lambda: Curve("a", "low", "guessed", [1], [1]),
        lambda: Curve("a", "low", "simulated", [1, 2], [1]),
        lambda: Curve("a", "low", "simulated", [[1]], [[1]]),
        lambda: Curve("a", "low", "simulated", [1], [1], axis="top"),
        lambda: Curve("a", "low", "simulated", [1], [1], band=([1, 2], [1])),
        lambda: Region([[1.0]], 0, 1, ""),
        lambda: Region([1.0, 2.0, 3.0], [0, 1], 1, ""),
        lambda: chart(frequency_axis(), level_axis(0, 1),
                      Curve("a", "low", "simulated", [1], [1], axis="right")),
    ],
)
def test_what_cannot_be_drawn_is_refused(make):
    with pytest.raises(ValueError):
        make()


def test_charts_need_no_painting_library():
    code = (
        "import sys, speakerwright.drawing.charts, speakerwright.drawing.print_charts,"
        " speakerwright.plan.document\n"
        "sys.exit('matplotlib' in sys.modules or 'typst' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
