"""The named alignment nearest to a chamber."""

import pytest

from bass.boxes import AIR, LOSSLESS, NEED, TWO_PORTS, WOOFER, chamber, inputs, vented
from speakerwright.acoustics.alignments import closed_system, quasi_butterworth3, vented_for_driver
from speakerwright.bass.stage import chamber as work_out


def test_closed_is_butterworth():
    found = work_out(inputs(), NEED).alignment
    assert found.name == "Butterworth, second order"
    assert found.tuning is None
    known = closed_system(WOOFER.fs, WOOFER.qts, WOOFER.vas(AIR), found.volume)
    assert known.qtc == pytest.approx(0.5**0.5, rel=1e-9)


def test_vented_by_the_drivers_q_and_the_leak():
    found = work_out(vented(), NEED).alignment
    known = quasi_butterworth3(WOOFER.qts, 7.0)
    assert found.name == "quasi-Butterworth, third order"
    assert found.volume == pytest.approx(WOOFER.vas(AIR) / known.alpha, rel=1e-9)
    assert found.tuning == pytest.approx(known.h * WOOFER.fs, rel=1e-9)
    tight = work_out(vented(LOSSLESS), NEED).alignment
    assert tight.volume == pytest.approx(
        WOOFER.vas(AIR) / vented_for_driver(WOOFER.qts).alpha, rel=1e-9)


def test_two_drivers_want_twice_the_volume():
    one, two = work_out(vented(), NEED).alignment, work_out(vented(count=2), NEED).alignment
    assert two.volume == pytest.approx(2 * one.volume, rel=1e-12)
    assert two.tuning == one.tuning


@pytest.mark.parametrize(("wiring", "share"), [("series", 2.0), ("parallel", 0.5)])
def test_a_source_resistance_raises_the_electrical_q(wiring, share):
    box = chamber(port=TWO_PORTS, losses=LOSSLESS, source_resistance=0.5)
    found = work_out(inputs(box, count=2, wiring=wiring), NEED).alignment
    qes = WOOFER.qes * (1 + 0.5 / (share * 5.3))
    known = vented_for_driver(qes * WOOFER.qms / (qes + WOOFER.qms))
    assert found.volume == pytest.approx(2 * WOOFER.vas(AIR) / known.alpha, rel=1e-9)


def test_none_where_the_driver_has_too_much_q():
    dull = WOOFER.__class__(5.3, 5.0, 0.05, 0.0002, 2.8, 0.0531)
    assert dull.qts > 0.75
    assert work_out(inputs(motor=dull), NEED).alignment is None
