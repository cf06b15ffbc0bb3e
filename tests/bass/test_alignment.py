"""The named alignments for a chamber: the nearest, all that suit, and the circuit's answer."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bass.boxes import AIR, LEAKY, LOSSLESS, NEED, TWO_PORTS, WOOFER, chamber, inputs, vented
from speakerwright.acoustics import alignments as known
from speakerwright.acoustics.movingcoil import from_thiele_small
from speakerwright.bass import alignment
from speakerwright.bass.stage import chamber as work_out
from speakerwright.design.sections.bass import HighPass, Losses, Port

LEAK = Losses.model_construct(leak_q=7.0, absorption_q=None, port_q=None)
SOAKED = Losses.model_construct(leak_q=15.0, absorption_q=30.0, port_q=None)
NARROW = Port.model_construct(shape="round", count=1, bore=0.06, wall=0.003, tuning=40.0)


def driver(qts, qms=5.6):
    """An invented driver of 35 Hz and 120 litres."""
    return from_thiele_small(fs=35.0, qes=qts * qms / (qms - qts), qms=qms, vas=0.12, sd=0.035,
                             re=6.0, air=AIR)


def given(qts, losses=LOSSLESS, port=NARROW, **changes):
    box = chamber(port=port, losses=losses, **changes)
    return inputs(box, motor=driver(qts))


def by_name(found):
    return {each.name: each for each in found}


def test_closed_is_butterworth():
    found = work_out(inputs(), NEED).alignment
    assert found.name == "Butterworth, second order"
    assert found.tuning is None
    system = known.closed_system(WOOFER.fs, WOOFER.qts, WOOFER.vas(AIR), found.volume)
    assert system.qtc == pytest.approx(0.5**0.5, rel=1e-9)


def test_vented_by_the_drivers_q_and_the_losses():
    found = work_out(vented(), NEED).alignment
    book = known.quasi_butterworth3(WOOFER.qts, 1 / (1 / 7 + 1 / 60))
    assert found.name == "quasi-Butterworth, third order"
    assert found.volume == pytest.approx(WOOFER.vas(AIR) / book.alpha, rel=1e-9)
    assert found.tuning == pytest.approx(book.h * WOOFER.fs, rel=1e-9)
    assert found.volume == by_name(alignment.proposals(vented()))["QB3"].volume
    tight = work_out(vented(LOSSLESS), NEED).alignment
    assert tight.volume == pytest.approx(
        WOOFER.vas(AIR) / known.vented_for_driver(WOOFER.qts).alpha, rel=1e-9)


def test_two_drivers_want_twice_the_volume():
    one, two = work_out(vented(), NEED).alignment, work_out(vented(count=2), NEED).alignment
    assert two.volume == pytest.approx(2 * one.volume, rel=1e-12)
    assert two.tuning == one.tuning


@pytest.mark.parametrize(("wiring", "share"), [("series", 2.0), ("parallel", 0.5)])
def test_a_source_resistance_raises_the_electrical_q(wiring, share):
    box = chamber(port=TWO_PORTS, losses=LOSSLESS, source_resistance=0.5)
    fed = inputs(box, count=2, wiring=wiring)
    found = work_out(fed, NEED).alignment
    qes = WOOFER.qes * (1 + 0.5 / (share * 5.3))
    book = known.vented_for_driver(qes * WOOFER.qms / (qes + WOOFER.qms))
    assert found.volume == pytest.approx(2 * WOOFER.vas(AIR) / book.alpha, rel=1e-9)
    capacitor = by_name(alignment.proposals(fed))["B3, series capacitor"].high_pass.capacitor
    book = known.closed_capacitor3(qes, WOOFER.qms)
    assert capacitor == pytest.approx(
        book.time / (2 * math.pi * WOOFER.fs * (share * 5.3 + 0.5)), rel=1e-9)


def test_none_where_the_driver_has_too_much_q():
    dull = WOOFER.__class__(5.3, 5.0, 0.05, 0.0002, 2.8, 0.0531)
    assert dull.qts > 0.75
    assert work_out(inputs(motor=dull), NEED).alignment is None
    why = {each.name: each.reason for each in alignment.refusals(inputs(motor=dull))}
    assert why["B2"] == (f"QT {dull.qts:.3f} is above the Qtc of 0.707 that this wants, "
                         "and a closed box only raises it.")


@pytest.mark.parametrize(
    ("qts", "names"),
    [
        (0.34, {"QB3", "SC4", "SC5", "BL4", "BL5", "QB5 class II", "B3", "B2", "Bessel",
                "B3, series capacitor", "SC5, series capacitor", "Critically damped"}),
        (0.45, {"C4", "C5", "B5", "C6 class II", "QB5 class III", "SC5, series capacitor"}),
        (0.56, {"C4", "C5", "C6 class III", "C5, series capacitor"}),
        (0.27, {"QB3", "SC4", "SC5", "QB5 class I", "QB5 class II", "B6 class I"}),
    ],
)
def test_what_suits_a_driver(qts, names):
    found = alignment.proposals(given(qts))
    assert names <= set(by_name(found))
    refused = {each.name for each in alignment.refusals(given(qts))}
    assert not refused & set(by_name(found))
    keys = [(abs(each.distance or 0.0), each.f3) for each in found]
    assert keys == sorted(keys)
    assert all(each.ripple_db <= 2.0 for each in found)


def test_exact_or_how_far_away():
    flat = known.butterworth4()
    exact = by_name(alignment.proposals(given(flat.qt)))["B4"]
    assert exact.distance is None
    assert (exact.volume, exact.tuning, exact.f3) == pytest.approx(
        (0.12 / 2**0.5, 35.0, 35.0), rel=1e-6)
    assert exact.peak_db == pytest.approx(0.0, abs=1e-9)
    near = by_name(alignment.proposals(given(0.4)))["B4"]
    assert near.distance == pytest.approx(0.4 / flat.qt - 1, rel=1e-9)
    # its f3 and its peak are this driver's, not the book's
    x = np.geomspace(20.0, 200.0, 40001)
    level = known.vented_response_db(x, 35.0, 0.4, 2**0.5, 1.0)
    assert near.f3 == pytest.approx(x[np.argmax(level >= -10 * math.log10(2.0))], rel=1e-4)
    assert near.peak_db == pytest.approx(level.max(), abs=1e-4)
    assert near.peak_db > 0.2


def test_a_sentence_for_each_that_does_not_suit():
    why = {each.name: each.reason for each in alignment.refusals(given(0.52))}
    assert why["QB3"] == "QT 0.520 is above what QB3 takes, whose limit is 0.383."
    assert why["B4"] == "QT 0.520 is 36 % above the 0.383 that B4 demands."
    assert "ripple" in {each.name: each.reason for each in alignment.refusals(
        given(0.75))}["C4"]
    why = {each.name: each.reason for each in alignment.refusals(given(0.30))}
    assert why["B4"].startswith("QT 0.300 is 22 % below the 0.383 that B4 demands; ")
    # with that resistance it is there: 1 / QT = 1 / Qms + 1 / Qes R / (R + r)
    extra = float(why["B4"].split("; ")[1].split("\N{NARROW NO-BREAK SPACE}")[0])
    qes = driver(0.30).qes * (1 + extra / 6.0)
    assert qes * 5.6 / (qes + 5.6) == pytest.approx(known.butterworth4().qt, rel=0.001)
    assert all(reason.endswith(".") for reason in why.values())
    flat = {each.name: each.reason for each in alignment.refusals(given(known.butterworth4().qt))}
    assert flat["QB3"] == "At QT 0.383 QB3 is the Butterworth alignment itself."


def test_losses_cost_what_they_cost():
    tight, leaky = (by_name(alignment.proposals(given(0.34, each))) for each in (LOSSLESS, LEAK))
    assert leaky["QB3"].volume == pytest.approx(
        0.12 / known.quasi_butterworth3(0.34, 7.0).alpha, rel=1e-9)
    assert leaky["B2"].volume < tight["B2"].volume
    # the Q of the lossy closed box, by energy, is the one wanted
    alpha = 0.12 / leaky["B2"].volume
    loss = 1 / (0.34 * math.sqrt(1 + alpha)) + alpha / (1 + alpha) / 7.0
    assert 1 / loss == pytest.approx(0.5**0.5, rel=1e-9)
    assert work_out(replace(given(0.34, LEAK), chamber=alignment.in_chamber(
        chamber(losses=LEAK), leaky["B2"])), NEED).qtc == pytest.approx(0.5**0.5, rel=1e-9)


@pytest.mark.parametrize("losses", [LOSSLESS, LEAK], ids=["tight", "leak"])
@pytest.mark.parametrize(("qts", "bore"), [(0.34, 0.06), (0.45, 0.08)])
def test_a_proposal_in_the_chamber_gives_its_f3(qts, bore, losses):
    """The circuit with a real tube: what differs is the give and the drag of the tube's air."""
    at = given(qts, losses, NARROW.model_copy(update={"bore": bore}))
    for each in alignment.proposals(at):
        box = alignment.in_chamber(at.chamber, each)
        result = work_out(replace(at, chamber=box), NEED)
        lumped = each.tuning is None
        assert result.cutoffs["f3"] == pytest.approx(each.f3, rel=5e-4 if lumped else 0.01), each
        relative = result.curves.level_db - result.curves.asymptote_db
        if each.tuning is None:
            assert relative.max() == pytest.approx(each.peak_db, abs=0.03), each
            continue
        book = expected_db(each, result.curves.frequency, qts, losses)
        if book is not None:
            band = result.curves.frequency > 0.7 * each.f3
            assert np.abs(relative - book)[band].max() < 0.3, each


def expected_db(proposal, frequency, qts, losses):
    """The book's response of a vented proposal with an active filter or none."""
    ql = losses.leak_q or math.inf
    made = proposal.high_pass
    if made is not None and made.capacitor is not None:
        return None
    level = known.vented_response_db(
        frequency, 35.0, qts, 0.12 / proposal.volume, proposal.tuning / 35.0, ql)
    if made is not None:
        filter_ = known.HighPassFilter(made.order, made.frequency / 35.0, made.q)
        level = level + known.filter_response_db(frequency, 35.0, filter_)
    return level


def test_absorption_in_a_closed_box():
    at = given(0.34, SOAKED)
    for each in alignment.proposals(at):
        if each.tuning is None:
            box = alignment.in_chamber(at.chamber, each)
            found = work_out(replace(at, chamber=box), NEED).cutoffs["f3"]
            assert found == pytest.approx(each.f3, rel=0.005), each


def test_a_proposal_goes_straight_into_the_chamber():
    at = given(0.34, LEAKY, high_pass=HighPass.model_construct(order=4, frequency=30.0))
    found = by_name(alignment.proposals(at))
    box = alignment.in_chamber(at.chamber, found["QB5 class II"])
    assert (box.loading, box.volume, box.port.tuning, box.port.length, box.port.bore) == (
        "vented", found["QB5 class II"].volume, found["QB5 class II"].tuning, None, 0.06)
    assert box.high_pass.order == 2
    assert (box.high_pass.frequency, box.high_pass.q, box.high_pass.capacitor) == (
        found["QB5 class II"].high_pass.frequency, found["QB5 class II"].high_pass.q, None)
    assert box.losses == LEAKY
    closed = alignment.in_chamber(at.chamber, found["B2"])
    assert (closed.loading, closed.port, closed.high_pass) == ("closed", None, None)
    with pytest.raises(ValueError, match="no port"):
        alignment.in_chamber(chamber(), found["QB3"])
    # the chamber's present box and filter do not count
    assert alignment.proposals(replace(at, chamber=chamber(losses=LEAKY))) == (
        alignment.proposals(at))


def test_the_table_says_what_the_proposals_say():
    found = alignment.proposals(given(0.34))
    made = alignment.table(found)
    rows = {row[0]: row for row in made.rows}
    assert len(made.rows) == len(found)
    assert all(len(row) == len(made.heads) for row in made.rows)
    thin = "\N{NARROW NO-BREAK SPACE}"
    assert rows["BL4"][4] == "none"
    assert rows["BL4"][-1] == "+8 %"
    assert rows["BL5"][-1] == "−2 %"
    assert rows["B4 class I"][1] == "closed"
    assert rows["B4 class I"][3] == "–"
    assert rows["B4 class I"][4].endswith(f"{thin}Hz, 12 dB per octave, Q 1.307")
    assert rows["B3, series capacitor"][4].startswith("series capacitor ")
    assert rows["QB3"][-1] == "exact"
