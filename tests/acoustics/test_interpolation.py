import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics.interpolation import smooth, weights


@given(st.floats(-3.0, 9.0))
def test_any_cubic_comes_back_between_the_nodes_of_its_table(x):
    nodes = (-3.0, -1.0, 0.5, 2.0, 6.0, 9.0)
    cubic = lambda t: 2.0 - t + 0.5 * t**2 - 0.1 * t**3  # noqa: E731
    assert smooth(x, nodes, tuple(map(cubic, nodes))) == pytest.approx(cubic(x), abs=1e-9)


@given(st.floats(-5.0, 15.0), st.integers(2, 7))
def test_weights_add_to_one(x, count):
    nodes = tuple(np.cumsum(np.arange(1.0, count + 1)))
    assert weights(x, nodes).sum() == pytest.approx(1.0, abs=1e-9)


def test_short_tables_are_a_line_and_a_parabola_and_go_on_straight():
    assert smooth(0.5, (0.0, 1.0), (0.0, 2.0)) == pytest.approx(1.0)
    nodes, values = (0.0, 1.0, 3.0), (0.0, 1.0, 9.0)
    assert smooth(2.0, nodes, values) == pytest.approx(4.0)
    assert smooth(5.0, nodes, values) == pytest.approx(9.0 + 2 * 6.0)
    assert smooth(-1.0, nodes, values) == pytest.approx(0.0, abs=1e-12)
    assert [smooth(x, nodes, values) for x in nodes] == pytest.approx(values, abs=1e-12)
