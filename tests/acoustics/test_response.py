import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics.response import Response
from speakerwright.words.evidence import Evidence

FREQUENCY = np.geomspace(20.0, 2000.0, 200)


def delayed(delay, gain=0.1, evidence=Evidence.SIMULATED, source="a model", **more):
    pressure = gain * np.exp(-2j * math.pi * FREQUENCY * delay)
    return Response(FREQUENCY, pressure, evidence, source, **more)


def test_level():
    found = Response([100.0], [0.1j], Evidence.MEASURED, "a file")
    assert found.level_db()[0] == pytest.approx(20 * math.log10(0.283 / 20e-6))
    assert found.level_db(1.0)[0] == pytest.approx(20 * math.log10(0.1 / 20e-6))
    silent = Response([100.0], [0.0], Evidence.MEASURED, "a file")
    assert silent.level_db()[0] == -math.inf


@given(st.floats(20.0, 2000.0), st.floats(-2e-3, 2e-3))
def test_interpolation_keeps_a_delay(frequency, delay):
    found = delayed(delay).at(frequency)
    assert abs(found[0]) == pytest.approx(0.1)
    expected = 0.1 * np.exp(-2j * math.pi * frequency * delay)
    # Phase is straight over frequency, not over its logarithm: the bow of one step of the grid.
    step = math.log(FREQUENCY[1] / FREQUENCY[0])
    bow = 2 * math.pi * frequency * abs(delay) * step**2 / 6
    assert abs(found[0] - expected) <= 0.1 * bow + 1e-12


def test_on_the_grid_interpolation_changes_nothing():
    response = delayed(1e-3)
    assert response.at(FREQUENCY) == pytest.approx(response.pressure)


def test_rows_are_interpolated_one_by_one():
    pressure = np.stack([np.full(200, 0.1 + 0j), np.linspace(0.1, 0.2, 200) * 1j])
    response = Response(
        FREQUENCY, pressure, Evidence.SIMULATED, "a model", direction_deg=[0.0, 30.0]
    )
    found = response.at([50.0, 500.0, 1000.0])
    assert found.shape == (2, 3)
    assert list(found[0]) == pytest.approx([0.1] * 3)
    assert np.angle(found[1]) == pytest.approx(math.pi / 2)
    assert response.level_db().shape == (2, 200)


@pytest.mark.parametrize("frequency", [19.9, 2000.1])
def test_outside_the_grid_is_refused(frequency):
    with pytest.raises(ValueError, match="outside"):
        delayed(0.0).at(frequency)


def test_sum():
    one = delayed(0.0, evidence=Evidence.MEASURED, source="a file", valid=(30.0, 900.0))
    two = delayed(1e-3, evidence=Evidence.DATASHEET, source="a table", valid=(10.0, 500.0))
    both = one + two
    assert both.pressure == pytest.approx(one.pressure + two.pressure)
    assert both.evidence is Evidence.DATASHEET
    assert both.source == "a file + a table"
    assert both.valid == (30.0, 500.0)
    assert (one + one).source == "a file"
    assert (two + one).evidence is Evidence.DATASHEET


def test_sums_of_unlike_responses_are_refused():
    one = delayed(0.0, valid=(20.0, 100.0))
    other_grid = Response(FREQUENCY * 1.01, one.pressure, Evidence.SIMULATED, "a model")
    with pytest.raises(ValueError, match="same frequencies"):
        one + other_grid
    with pytest.raises(ValueError, match="same directions"):
        one + delayed(0.0, direction_deg=30.0)
    with pytest.raises(ValueError, match="valid range"):
        one + delayed(0.0, valid=(200.0, 400.0))


def test_arrays_are_copies_that_cannot_be_written():
    pressure = np.ones(200, dtype=complex)
    response = Response(FREQUENCY, pressure, Evidence.SIMULATED, "a model")
    pressure[0] = 5.0
    assert response.pressure[0] == 1.0
    for array in (response.frequency, response.pressure, np.asarray(response.direction_deg)):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 2.0
    assert FREQUENCY.flags.writeable


@pytest.mark.parametrize(
    ("frequency", "pressure", "says"),
    [
        ([], [], "at least one"),
        ([[1.0, 2.0]], [1.0, 2.0], "row"),
        ([0.0, 1.0], [1.0, 1.0], "above zero"),
        ([1.0, math.inf], [1.0, 1.0], "finite"),
        ([2.0, 1.0], [1.0, 1.0], "ascend"),
        ([1.0, 1.0], [1.0, 1.0], "ascend"),
        ([1.0, 2.0], [1.0], "one value per frequency"),
        ([1.0, 2.0], 1.0, "one value per frequency"),
        ([1.0, 2.0], [1.0, math.nan], "finite"),
    ],
)
def test_bad_shapes_are_refused(frequency, pressure, says):
    with pytest.raises(ValueError, match=says):
        Response(frequency, pressure, Evidence.SIMULATED, "a model")


def test_bad_directions_and_ranges_are_refused():
    with pytest.raises(ValueError, match="directions"):
        delayed(0.0, direction_deg=[0.0, 10.0])
    for valid in ((100.0, 100.0), (-1.0, 100.0), (200.0, 100.0)):
        with pytest.raises(ValueError, match="valid range"):
            delayed(0.0, valid=valid)
