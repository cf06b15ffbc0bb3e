"""A. N. Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961), table I; peaks.

The rows are from memory, to the three digits he prints; QT stands there to three digits too, which
moves alpha by up to 1.2 % where it is large, hence the tolerance. The rows of B4 and C4 by ripple
do not rest on that rounding and are held to half a unit of the last digit; so are those of B5 and
B6, from memory too.
"""

import pytest

from speakerwright.acoustics import alignments

SOURCE = "Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961)"
CHECKS = [
    (alignments.quasi_butterworth3, SOURCE + ", table I", "memory"),
    (alignments.butterworth4, SOURCE + ", table I", "memory"),
    (alignments.chebyshev4, SOURCE + ", table I", "memory"),
    (alignments.butterworth5, SOURCE + ", table I", "memory"),
    (alignments.butterworth6, SOURCE + ", table I", "memory"),
    (alignments.quasi_butterworth5, SOURCE + ", meets the B6 of each class", "recomputed"),
    (alignments.chebyshev5, SOURCE + ", meets the B5", "recomputed"),
    (alignments.chebyshev6, SOURCE + ", meets the B6 of each class", "recomputed"),
    (alignments.vented_peaks_lossless, SOURCE, "recomputed"),
    (alignments.alpha_from_peaks, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(
    ("qt", "name", "alpha", "h", "f3"),
    [
        pytest.param(0.18, "QB3", 10.48, 2.0, 2.68, id="thiele61_row1"),
        pytest.param(0.259, "QB3", 4.46, 1.42, 1.77, id="thiele61_row3"),
        pytest.param(0.303, "QB3", 2.95, 1.23, 1.45, id="thiele61_row4"),
        pytest.param(0.415, "C4", 1.055, 0.927, 0.867, id="thiele61_row6"),
        pytest.param(0.466, "C4", 0.729, 0.829, 0.729, id="thiele61_row7"),
        pytest.param(0.557, "C4", 0.485, 0.716, 0.600, id="thiele61_row9"),
    ],
)
def test_table_row(qt, name, alpha, h, f3):
    found = alignments.vented_for_driver(qt)
    assert found.name == name
    assert (found.alpha, found.h, found.f3_over_fs) == pytest.approx((alpha, h, f3), rel=0.012)


def test_b4_row():
    # thiele61_row5
    found = alignments.butterworth4()
    assert found.qt == pytest.approx(0.383, abs=0.0005)
    assert (found.alpha, found.h, found.f3_over_fs) == pytest.approx((1.414, 1.0, 1.0), abs=0.0005)


def test_b5_row():
    found = alignments.butterworth5()
    assert (found.qt, found.alpha, found.h) == pytest.approx((0.447, 1.0, 1.0), abs=0.0005)
    assert (found.filter.ratio, found.f3_over_fs) == pytest.approx((1.0, 1.0), abs=0.0005)


B6_ROWS = [
    pytest.param(1, 0.299, 2.732, 1.932, id="class I"),
    pytest.param(2, 0.408, 1.000, 0.707, id="class II"),
    pytest.param(3, 0.518, 0.732, 0.518, id="class III"),
]


@pytest.mark.parametrize(("kind", "qt", "alpha", "q"), B6_ROWS)
def test_b6_rows(kind, qt, alpha, q):
    found = alignments.butterworth6(kind)
    assert (found.qt, found.alpha, found.h) == pytest.approx((qt, alpha, 1.0), abs=0.0005)
    assert found.filter.q == pytest.approx(q, abs=0.0005)
    assert (found.filter.ratio, found.f3_over_fs) == pytest.approx((1.0, 1.0), abs=0.0005)


@pytest.mark.parametrize("kind", [1, 2, 3])
def test_families_meet_at_b6_and_b5(kind):
    flat, fifth = alignments.butterworth6(kind), alignments.butterworth5()
    for found in (alignments.quasi_butterworth5(flat.qt * (1 - 1e-5), kind),
                  alignments.chebyshev6(flat.qt, kind)):
        assert (found.alpha, found.h, found.filter.q, found.f3_over_fs) == pytest.approx(
            (flat.alpha, flat.h, flat.filter.q, flat.f3_over_fs), rel=1e-4)
    near = alignments.chebyshev5(fifth.qt)
    assert (near.alpha, near.h, near.filter.ratio) == pytest.approx(
        (fifth.alpha, fifth.h, fifth.filter.ratio), rel=1e-6)


def test_impedance_peaks():
    # vb_peaks_2
    lower, upper = alignments.vented_peaks_lossless(31.0, 32.0, 1.345)
    assert (lower, upper) == pytest.approx((18.2853107, 54.2511973), rel=1e-8)
    assert alignments.alpha_from_peaks(lower, 32.0, upper) == pytest.approx(1.345, rel=1e-9)
