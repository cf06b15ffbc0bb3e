import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.potential.flare import flared
from speakerwright.acoustics import ends, tube_shapes


@pytest.mark.parametrize(("rounding", "free"), [(0.28, False), (0.28, True), (1.2, False),
                                                (1.2, True)])
def test_rounded_mouth_by_potential_flow(rounding, free):
    found = tube_shapes.flared_end(1.0, rounding, flush=not free)
    assert found == pytest.approx(flared(rounding, free=free), abs=0.0015)


def test_a_sharp_edge_is_the_plain_end():
    assert tube_shapes.flared_end(0.04, 0.0, True) == pytest.approx(ends.flanged_end(0.04))
    assert tube_shapes.flared_end(0.04, 0.0, False) == pytest.approx(ends.unflanged_end(0.04))


@given(st.floats(0.1, 2.9))
def test_a_wider_rounding_takes_mass_away(rounding):
    for flush in (True, False):
        wide = tube_shapes.flared_end(0.05, 0.05 * rounding * 1.03, flush)
        assert wide < tube_shapes.flared_end(0.05, 0.05 * rounding, flush)


def test_mouth_of_a_rounded_port():
    assert tube_shapes.mouth_area(0.03, 0.02) == pytest.approx(math.pi * 0.0025)


@given(st.floats(0.2, 0.95))
def test_grille_by_hand(open_share):
    found = tube_shapes.grille_end(open_share, 0.002, 0.001)
    step = ends.step_end_fit(0.002, 0.002 / math.sqrt(open_share))
    assert found * open_share == pytest.approx(0.001 * (1 - open_share) + 2 * step, rel=1e-9)
    assert tube_shapes.grille_end(open_share * 1.02, 0.002, 0.001) < found


def test_an_open_grille_is_none():
    assert tube_shapes.grille_end(1.0, 0.002, 0.001) == pytest.approx(0.0, abs=1e-12)


def test_taper_is_the_integral_over_its_areas():
    n = 2000
    radii = [0.03 + 0.02 * (k + 0.5) / n for k in range(n)]
    by_slices = sum(0.25 / n / r**2 for r in radii) * 0.03**2
    assert tube_shapes.tapered_length(0.25, 0.03, 0.05) == pytest.approx(by_slices, rel=1e-6)


def test_centre_line():
    assert tube_shapes.centre_line_length((0.1, 0.2), 0.05, 2) == pytest.approx(
        0.3 + math.pi * 0.05)


def test_bad_figures_are_refused():
    for bad in (
        lambda: tube_shapes.flared_end(0.0, 0.01, True),
        lambda: tube_shapes.flared_end(0.05, -0.01, True),
        lambda: tube_shapes.grille_end(1.1, 0.002, 0.001),
        lambda: tube_shapes.grille_end(0.0, 0.002, 0.001),
    ):
        with pytest.raises(ValueError, match="must"):
            bad()
