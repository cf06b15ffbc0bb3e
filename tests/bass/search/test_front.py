"""The front against comparing all pairs."""

from __future__ import annotations

import numpy as np
import pytest

from speakerwright.bass.search.figures import scores
from speakerwright.bass.search.front import BLOCK, NO_BAND, Band, beaten, front, may_stand


def beats(one, other) -> bool:
    return bool(all(one <= other) and any(one < other))


def by_all_pairs(rows) -> list[bool]:
    return [not any(beats(other, row) for other in rows) for row in rows]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("steps", [2, 4, 1000])
def test_the_front_is_that_of_all_pairs(seed, steps):
    rng = np.random.default_rng(seed)
    rows = rng.integers(0, steps, (150, 4)).astype(float)
    rows[rng.random(150) < 0.2, 0] = np.inf  # price unknown
    assert front(rows).tolist() == by_all_pairs(rows)


def test_the_front_of_more_rows_than_one_block():
    rows = np.random.default_rng(3).normal(size=(3 * BLOCK + 7, 3))
    assert front(rows).tolist() == by_all_pairs(rows)


def test_the_front_does_not_rest_on_the_order_of_rows():
    rng = np.random.default_rng(4)
    rows = rng.integers(0, 9, (400, 4)).astype(float)
    order = rng.permutation(400)
    assert front(rows[order]).tolist() == front(rows)[order].tolist()


def test_equal_rows_stand_together_and_none_gives_none():
    assert front(np.array([[1.0, 2.0], [1.0, 2.0], [2.0, 2.0]])).tolist() == [True, True, False]
    assert front(np.empty((0, 4))).tolist() == []
    assert beaten(np.empty((0, 2)), np.ones((1, 2))).tolist() == []


def test_a_score_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="not a number"):
        front(np.array([[1.0, np.nan]]))


@pytest.mark.parametrize("seed", range(5))
def test_nothing_that_may_stand_is_left_out(seed):
    """Whatever the true scores are inside the widths, the true front is kept."""
    rng = np.random.default_rng(seed)
    seen = rng.integers(0, 12, (120, 3)).astype(float)
    widths = rng.choice([0.0, 0.4, 1.5], (120, 3))
    sure = rng.random(120) < 0.7
    kept = may_stand(seen, widths, sure)
    expected = [not any(beats(seen[j] + widths[j], seen[k] - widths[k])
                        for j in np.flatnonzero(sure)) for k in range(120)]
    assert kept.tolist() == expected
    for _ in range(20):
        true = seen + widths * rng.uniform(-1, 1, seen.shape)
        able = sure | (rng.random(120) < 0.5)
        on_front = np.flatnonzero(able)[front(true[able])]
        assert kept[on_front].all()


def test_without_a_band_only_the_front_may_stand():
    rows = np.random.default_rng(9).integers(0, 6, (200, 4)).astype(float)
    none = NO_BAND.widths(np.zeros(200), np.ones(200), band_pass=True)
    assert not none.any()
    assert may_stand(rows, none, np.ones(200, dtype=bool)).tolist() == front(rows).tolist()


def test_the_bands_widths():
    band = Band(size=(0.01, 0.5), level_db=(0.1, 4.0), headroom_db=(0.2, 3.0), band_pass=2.0)
    air, steepness = np.array([0.0, 0.1]), np.array([0.03, 0.03])
    plain, double = (band.widths(air, steepness, band_pass=b) for b in (False, True))
    assert plain[1] == pytest.approx([0.0, np.log(1.06), 0.03 * 0.5, 0.5])
    assert double[1] == pytest.approx([0.0, np.log(1.06), 0.03 * 1.0, 1.0])
    assert plain[0] == pytest.approx([0.0, np.log(1.01), 0.003, 0.2])


def test_scores_turn_shares_into_differences():
    found = scores(np.array([[np.inf, 0.02, 40.0, 3.0], [5.0, 0.04, 20.0, -1.0]]))
    assert found[1] - found[0] == pytest.approx([-np.inf, np.log(2.0), -np.log(2.0), 4.0])
