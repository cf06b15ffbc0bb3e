"""R. H. Small, Vented-box loudspeaker systems I, II and appendix, JAES 21(5) and 21(6) 1973.

Status recomputed: derived apart from this program from the polynomial of fourth order, to nine
digits. The least vent area is from memory. The numeric response was computed with ngspice from the
circuit of an invented driver and box.
"""

import math

import pytest

from speakerwright.acoustics import alignments, ports

SOURCE = "Small, Vented-box loudspeaker systems, JAES 21(5) and (6) 1973"
CHECKS = [
    (alignments.butterworth4, SOURCE, "recomputed"),
    (alignments.quasi_butterworth3, SOURCE, "recomputed"),
    (alignments.chebyshev4, SOURCE, "recomputed"),
    (alignments.chebyshev4_by_k, SOURCE, "recomputed"),
    (alignments.vented_for_driver, SOURCE, "recomputed"),
    (alignments.vented_coefficients, SOURCE, "memory"),
    (alignments.vented_from_coefficients, SOURCE, "recomputed"),
    (alignments.sub_chebyshev4, SOURCE + ", its k above 1", "recomputed"),
    (alignments.vented_response_db, "ngspice, circuit of a vented box", "recomputed"),
    (ports.small_vent_area, SOURCE, "memory"),
    (ports.small_vent_diameter, SOURCE, "memory"),
]
INF = math.inf


def figures(found):
    return found.qt, found.alpha, found.h, found.f3_over_fs


@pytest.mark.parametrize(
    ("ql", "qt", "alpha"),
    [
        pytest.param(INF, 0.382683432, 1.41421356, id="vb_B4_lossless"),
        pytest.param(7.0, 0.404814247, 1.06131802, id="vb_B4_QL7"),
    ],
)
def test_b4(ql, qt, alpha):
    assert figures(alignments.butterworth4(ql)) == pytest.approx((qt, alpha, 1.0, 1.0), rel=1e-8)
    assert alignments.vented_for_driver(qt, ql).name == "B4"


@pytest.mark.parametrize(
    ("qt", "ql", "alpha", "h", "f3", "shape"),
    [
        pytest.param(0.2, INF, 8.24479167, 1.80421959, 2.38788541, 5.59008795,
                     id="vb_QB3_QT0.2_QLinf"),
        pytest.param(0.24, INF, 5.3777766, 1.51749101, 1.9410945, 3.86065562,
                     id="vb_QB3_QT0.24_QLinf"),
        pytest.param(0.3, INF, 3.02930403, 1.23541553, 1.46793123, 2.17554916,
                     id="vb_QB3_QT0.3_QLinf"),
        pytest.param(0.35, INF, 1.91877435, 1.07835908, 1.16787898, 1.11033802,
                     id="vb_QB3_QT0.35_QLinf"),
        pytest.param(0.25, 7.0, 4.58219022, 1.56292535, 1.9666529, 3.840671,
                     id="vb_QB3_QT0.25_QL7.0"),
        pytest.param(0.3, 7.0, 2.84520148, 1.31452904, 1.57316406, 2.47831289,
                     id="vb_QB3_QT0.3_QL7.0"),
        pytest.param(0.35, 7.0, 1.79642264, 1.13949972, 1.27023801, 1.46040757,
                     id="vb_QB3_QT0.35_QL7.0"),
    ],
)
def test_qb3(qt, ql, alpha, h, f3, shape):
    found = alignments.quasi_butterworth3(qt, ql)
    assert figures(found) == pytest.approx((qt, alpha, h, f3), rel=1e-7)
    assert found.shape == pytest.approx(shape, rel=1e-7)
    assert alignments.vented_for_driver(qt, ql) == found


@pytest.mark.parametrize(
    ("k", "ql", "qt", "alpha", "h", "f3", "ripple"),
    [
        pytest.param(0.8, INF, 0.414791768, 1.05471818, 0.928202634, 0.86706965, 0.00264773349,
                     id="vb_C4_k0.8_QLinf"),
        pytest.param(0.7, INF, 0.436481393, 0.885488125, 0.881860492, 0.798136107, 0.0168474343,
                     id="vb_C4_k0.7_QLinf"),
        pytest.param(0.6, INF, 0.464966234, 0.7288585, 0.828780373, 0.728161097, 0.0678588579,
                     id="vb_C4_k0.6_QLinf"),
        pytest.param(0.5, INF, 0.505314425, 0.589004687, 0.770188688, 0.658229864, 0.214477308,
                     id="vb_C4_k0.5_QLinf"),
        pytest.param(0.8, 7.0, 0.44101226, 0.745052387, 0.918938954, 0.862732021, 0.00264773349,
                     id="vb_C4_k0.8_QL7.0"),
        pytest.param(0.6, 7.0, 0.498829794, 0.467923076, 0.805066224, 0.717667942, 0.0678588579,
                     id="vb_C4_k0.6_QL7.0"),
    ],
)
def test_c4_by_k(k, ql, qt, alpha, h, f3, ripple):
    found = alignments.chebyshev4_by_k(k, ql)
    assert figures(found) == pytest.approx((qt, alpha, h, f3), rel=1e-7)
    assert found.ripple_db == pytest.approx(ripple, rel=1e-7)


@pytest.mark.parametrize(
    ("qt", "ql", "alpha", "h", "f3", "ripple", "k"),
    [
        pytest.param(0.45, 7.0, 0.686767504, 0.899247093, 0.83483525, 0.00591606372, 0.760801947,
                     id="vb_C4_QT0.45_QL7.0"),
        pytest.param(0.5, INF, 0.603553391, 0.776886987, 0.665924537, 0.190396067, 0.511081085,
                     id="vb_C4_QT0.5_QLinf"),
    ],
)
def test_c4_of_a_driver(qt, ql, alpha, h, f3, ripple, k):
    found = alignments.vented_for_driver(qt, ql)
    assert found == alignments.chebyshev4(qt, ql)
    assert figures(found) == pytest.approx((qt, alpha, h, f3), rel=1e-7)
    assert (found.ripple_db, found.shape) == pytest.approx((ripple, k), rel=1e-7)


def test_coefficients_of_the_flat_alignment():
    # B4 with QL 7: QT and alpha above give back 2 (cos 22.5 + cos 67.5 deg) and 2 + sqrt(2)
    a = alignments.vented_coefficients(0.404814247, 1.06131802, 1.0, 7.0)
    assert a == pytest.approx((2.61312593, 3.41421356, 2.61312593), rel=1e-8)
    assert figures(alignments.vented_from_coefficients("", a, 7.0)) == pytest.approx(
        (0.404814247, 1.06131802, 1.0, 1.0), rel=1e-7)


def test_sc4_with_four_real_poles():
    # k without bound: two double poles at tan 22.5 deg; QT = 1 / (2 (m + 1 / m)), m^2 = tan 22.5
    m = math.sqrt(math.tan(math.pi / 8))
    limit = 1 / (2 * (m + 1 / m))
    found = alignments.sub_chebyshev4(limit * 1.0007)
    assert (found.qt, found.h) == pytest.approx((limit, 1.0), rel=1e-3)
    assert found.alpha == pytest.approx(m**2 + 1 / m**2 + 2, rel=2e-3)


def test_numeric_response():
    # vented_A_response: ngspice on the impedance analogy, no voice-coil inductance
    found = alignments.vented_response_db(
        [12, 18, 22, 26, 30, 36, 45, 60, 100, 300],
        31.0, 0.37773512476007676, 0.074 / 0.055, 32.0 / 31.0, 7.0,
    )
    assert list(found) == pytest.approx(
        [-33.9183644, -20.3313734, -13.9053213, -9.00485743, -5.50336372, -2.50773262,
         -0.898904544, -0.310517764, -0.088733271, -0.00964405025],
        abs=1e-6,
    )


def test_least_vent():
    # small_vent, status memory
    area, diameter = ports.small_vent_area(32.0, 2.77e-4), ports.small_vent_diameter(32.0, 2.77e-4)
    assert (area, diameter) == pytest.approx((0.0070912, 0.0941488184), rel=1e-8)
    # The velocity at which such a vent moves all of the displacement: 7.85 m/s whatever the box.
    assert 2 * math.pi * 32.0 * 2.77e-4 / area == pytest.approx(7.85398163, rel=1e-8)
