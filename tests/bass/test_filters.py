"""A chamber whose driver takes over from another is protected by that hand-over."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bass.boxes import NEED, chamber, inputs, vented
from speakerwright.bass import stage
from speakerwright.bass.chapter import chapter
from speakerwright.bass.filters import electrical_shape, hand_over, protective
from speakerwright.bass.inputs import Seat, chamber_input
from speakerwright.bass.result import BassResult
from speakerwright.bass.stage import GRID
from speakerwright.bass.stage import chamber as work_out
from speakerwright.design.file import read_project
from speakerwright.design.sections.bass import HighPass
from speakerwright.design.sections.crossover import HandOver

THREE_WAY = Path(__file__).parents[1] / "design" / "three-way"
HALL = Path(__file__).parents[2] / "examples" / "harbour-hall"


def over(frequency: float = 200.0, order: int = 4, shape: str = "linkwitz-riley") -> HandOver:
    return HandOver.model_construct(frequency=frequency, order=order, shape=shape)


def level_db(made: HandOver | None, frequency: float) -> float:
    gain = hand_over(inputs(hand_over=made), np.array([frequency]))
    return 20 * math.log10(abs(gain[0]))


# --- where the hand-over comes from ---------------------------------------------------------------


def test_a_driver_that_takes_over_has_its_hand_over_and_the_lowest_has_none():
    design = read_project(THREE_WAY).design
    assert chamber_input(design, "main", Seat()).hand_over is None
    found = chamber_input(design, "middle", Seat()).hand_over
    assert found is design.decided.crossover["low_mid"]
    assert (found.frequency, found.order, found.shape) == (320.0, 4, "linkwitz-riley")
    assert chamber_input(read_project(HALL).design, "main", Seat()).hand_over is None


def test_of_several_hand_overs_the_highest_counts():
    design = read_project(THREE_WAY).design
    for frequency, expected in (("250 Hz", 320.0), ("400 Hz", 400.0)):
        changed = design.with_values({"crossover.high_mid": {"frequency": frequency},
                                      "crossover.mid_high": None})
        assert chamber_input(changed, "middle", Seat()).hand_over.frequency == expected


# --- the filter that stands for it ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "shape", "at_corner", "octave_below"),
    [
        # elementary: x**n / sqrt(1 + x**2n) for Butterworth, its square at half the order for
        # Linkwitz-Riley, at x = 1 and x = 1/2
        (4, "linkwitz-riley", -6.0206, -24.6090),
        (2, "linkwitz-riley", -6.0206, -13.9794),
        (4, "butterworth", -3.0103, -24.0993),
        (3, "butterworth", -3.0103, -18.1291),
        (4, "bessel", -3.0103, -24.0993),
        (3, "linkwitz-riley", -3.0103, -18.1291),
    ],
)
def test_the_filter_of_a_hand_over(order, shape, at_corner, octave_below):
    made = over(200.0, order, shape)
    assert level_db(made, 200.0) == pytest.approx(at_corner, abs=1e-4)
    assert level_db(made, 100.0) == pytest.approx(octave_below, abs=1e-4)
    assert level_db(made, 20000.0) == pytest.approx(0.0, abs=2e-3)


def test_what_stands_for_a_slope_that_is_not_worked_out():
    assert electrical_shape(over(shape="bessel")) == "butterworth"
    assert electrical_shape(over(order=3)) == "butterworth"
    assert electrical_shape(over(order=4)) == "linkwitz-riley"
    assert electrical_shape(over(shape="butterworth")) == "butterworth"


def test_without_filters_nothing_is_filtered():
    assert np.array_equal(hand_over(inputs(), GRID), np.ones(GRID.shape))
    assert np.array_equal(protective(inputs(), GRID), np.ones(GRID.shape))
    capacitor = HighPass.model_construct(capacitor=6e-4, order=None, frequency=None)
    assert np.array_equal(protective(inputs(chamber(high_pass=capacitor)), GRID),
                          np.ones(GRID.shape))


# --- what it does to the chamber ------------------------------------------------------------------


@pytest.mark.parametrize("make", [inputs, vented])
def test_a_hand_over_multiplies_what_it_stands_before(make):
    bare, handed = work_out(make(), NEED), work_out(make(hand_over=over()), NEED)
    x = (GRID / 200.0) ** 4
    gain = x / (1 + x)  # magnitude of the fourth-order Linkwitz-Riley high-pass
    one, other = bare.curves, handed.curves
    assert np.allclose(np.abs(other.response.pressure), np.abs(one.response.pressure) * gain,
                       rtol=1e-12)
    assert np.allclose(other.excursion, one.excursion * gain, rtol=1e-12)
    assert np.allclose(other.power, one.power * gain**2, rtol=1e-12)
    assert np.allclose(other.filter_db, 20 * np.log10(gain), atol=1e-9)
    assert np.allclose(other.unfiltered_db, one.level_db, atol=1e-12)
    assert np.array_equal(other.impedance, one.impedance)
    assert np.array_equal(handed.limits.level_db, bare.limits.level_db)
    assert handed.cutoffs["f6 without filter"] == bare.cutoffs["f6"]
    assert one.speeds.keys() == other.speeds.keys()
    for name, speed in one.speeds.items():
        assert np.allclose(other.speeds[name], speed * gain, rtol=1e-12)


def test_hand_over_and_protective_filter_stand_in_a_row():
    guard = HighPass.model_construct(order=2, frequency=80.0, shape="butterworth")
    both = inputs(chamber(high_pass=guard), hand_over=over())
    found, bare = work_out(both, NEED).curves, work_out(inputs(), NEED).curves
    y, x = (GRID / 80.0) ** 2, (GRID / 200.0) ** 4
    gain = y / np.sqrt(1 + y**2) * x / (1 + x)
    assert np.allclose(found.excursion, bare.excursion * gain, rtol=1e-12)


def findings(made, need):
    return {finding.rule: finding for finding in work_out(made, need).findings}


MID = replace(NEED, lowest=200.0, lowest_drop_db=6.1)


def test_the_cone_below_its_band_is_held_by_the_hand_over():
    bare, handed = findings(inputs(), MID), findings(inputs(hand_over=over()), MID)
    drive = 10 ** ((116.0 - work_out(inputs(), MID).curves.asymptote_db) / 20)
    x = (GRID / 200.0) ** 4
    swing = work_out(inputs(), MID).curves.excursion * drive
    below = GRID < 200.0
    assert bare["protected_below"].value == pytest.approx(swing[below].max(), rel=1e-12)
    assert handed["protected_below"].value == pytest.approx((swing * x / (1 + x))[below].max(),
                                                            rel=1e-9)
    assert handed["protected_below"].value < 0.25 * bare["protected_below"].value


def test_the_hand_overs_own_slope_is_no_lack_of_reach():
    bare, handed = findings(inputs(), MID), findings(inputs(hand_over=over()), MID)
    assert handed["bass_reaches_lowest"].value == pytest.approx(
        bare["bass_reaches_lowest"].value, abs=1e-9)
    assert handed["bass_reaches_lowest"].source.endswith("hand-over left out")
    assert "hand-over" not in bare["bass_reaches_lowest"].source
    guard = HighPass.model_construct(order=2, frequency=200.0, shape="butterworth")
    guarded = findings(inputs(chamber(high_pass=guard), hand_over=over()), MID)
    assert guarded["bass_reaches_lowest"].value - bare["bass_reaches_lowest"].value == (
        pytest.approx(-3.01, abs=0.01))  # between the points of the grid


# --- what the chapter says ------------------------------------------------------------------------


def rows(made):
    found = BassResult({"main": work_out(made, NEED)}, ())
    return dict(chapter(found, {"main": NEED}, "recess", "metric").blocks[1].rows)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (over(400.0), "400.0 Hz, 24 dB per octave, acoustic slope taken as electrical"),
        (over(250.0, 2, "bessel"), "250.0 Hz, 12 dB per octave, acoustic slope taken as "
         "electrical, Bessel taken as Butterworth"),
        (over(250.0, 3), "250.0 Hz, 18 dB per octave, acoustic slope taken as electrical, "
         "Linkwitz-Riley taken as Butterworth"),
    ],
)
def test_the_chapter_names_the_hand_over(made, says):
    found = rows(inputs(hand_over=made))
    assert found["Hand-over high-pass"].replace("\u202f", " ") == says
    assert "Response at −3 dB without the filters" in found


def test_the_chapter_is_silent_without_one():
    found = rows(inputs())
    assert "Hand-over high-pass" not in found
    assert "Response at −3 dB without the protective filter" in found


def test_another_hand_over_works_the_chamber_out_again():
    design = read_project(THREE_WAY).design
    moved = design.with_value("crossover.low_mid.frequency", "400 Hz")
    swings = [stage.work(one, "middle", Seat(), MID).curves.excursion[0]
              for one in (design, moved)]
    x, y = (GRID[0] / 320.0) ** 4, (GRID[0] / 400.0) ** 4
    assert swings[1] / swings[0] == pytest.approx(y / (1 + y) * (1 + x) / x, rel=1e-9)
