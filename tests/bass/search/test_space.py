"""What is searched: grids, numbers, bounds, and what is left out."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from bass.search.spaces import DRONE, SMALL, TINY, design, space
from speakerwright.bass import stage
from speakerwright.bass.inputs import Seat
from speakerwright.bass.search.gather import Asked, key_of, tubes
from speakerwright.bass.search.space import SEARCHED, significant
from speakerwright.chain.search import search_space
from speakerwright.design.document import Design
from speakerwright.words.errors import DesignErrors


def test_every_number_is_one_candidate_and_no_two_are_alike():
    found = space(asked=TINY)
    seen = {replace(found.find(number)[1], number=0) for number in range(found.size)}
    assert len(seen) == found.size == sum(family.size for family in found.families)
    assert {each.loading for each in seen} == set(SEARCHED)
    assert found.find(found.size - 1)[1].number == found.size - 1
    for number in (-1, found.size):
        with pytest.raises(ValueError, match="no candidate"):
            found.find(number)


def test_the_chunks_cover_every_cell_once():
    found = space("barn-sub", Asked(volumes=20, tunings=14))
    chunks = found.chunks()
    assert sum(c.stop - c.start for c in chunks) == found.cells
    ends = [(c.first, c.first + (c.stop - c.start) * c.family.inner) for c in chunks]
    assert ends[0][0] == 0
    assert ends[-1][1] == found.size
    assert all(one[1] == other[0] for one, other in pairwise(ends))


@pytest.mark.parametrize(("value", "digits", "expected"), [
    (0.0123456, 3, 0.0123), (99.96, 3, 100.0), (47.25, 2, 47.0), (3.0, 3, 3.0)])
def test_grids_are_written_as_makers_write(value, digits, expected):
    assert significant(value, digits) == pytest.approx(expected, rel=1e-12)


def test_volumes_rise_evenly_and_stay_within_the_brief():
    found = space(asked=Asked(volumes=9, loadings=("closed",), counts=(1,)))
    family = found.families[0]
    vas = family.inputs.motor.vas(family.inputs.air)
    assert family.volumes[0] == pytest.approx(vas / 8, rel=0.005)
    # the brief's 230 x 380 x 300 mm in sheets of 18 mm
    assert found.bounds.inside == pytest.approx(0.194 * 0.344 * 0.264, rel=1e-12)
    assert family.volumes[-1] == pytest.approx(min(2 * vas, found.bounds.inside), rel=0.005)
    steps = np.diff(np.log(family.volumes))
    assert np.ptp(steps) < 0.02
    assert found.bounds.behind_port == pytest.approx(0.29 - 0.018, rel=1e-9)


def test_without_a_size_in_the_brief_twice_vas_is_the_most():
    family = space("barn-sub", Asked(volumes=3, loadings=("closed",), counts=(2,))).families[0]
    assert family.volumes[-1] == pytest.approx(4 * family.inputs.motor.vas(family.inputs.air),
                                               rel=0.005)
    assert family.price == 2 * 259
    assert family.body == pytest.approx(2 * 0.009)


def test_added_mass_gives_the_tuning_that_was_asked():
    found = space(asked=replace(TINY, loadings=("passive-radiator",)))
    checked = 0
    for number in range(found.size):
        family, candidate = found.find(number)
        if candidate.added_mass < 0:
            continue
        inputs = found.find(number)[0].inputs
        drone, rho_c2 = inputs.passive, inputs.air.density * inputs.air.speed**2
        stiffness = drone.count * drone.sd**2 * rho_c2 / candidate.volume + 1 / drone.cms
        tuning = math.sqrt(stiffness / (drone.mass + candidate.added_mass)) / (2 * math.pi)
        assert tuning == pytest.approx(candidate.tuning, rel=1e-3)  # a tenth of a gram
        assert family.passive == "wagtail-200"
        checked += 1
    assert checked


def test_a_filter_follows_the_tuning_where_that_unloads_the_cone():
    found = space("barn-sub", TINY)
    for number in range(0, found.size, 5):
        family, candidate = found.find(number)
        if candidate.filter_order is None:
            assert candidate.loading in ("closed", "band-pass-4")
            continue
        follows = candidate.loading in ("vented", "passive-radiator")
        share = candidate.filter_frequency / (
            candidate.tuning if follows else found.need.lowest)
        assert min(abs(share - g.share) for g in family.guards if g) < 0.004


def test_ports_take_the_cabinets_width_or_a_slot_of_300_mm():
    across = [t for t in tubes(Seat(width=0.4)) if t.shape == "slot"]
    alone = [t for t in tubes(Seat()) if t.shape == "slot"]
    assert {(t.width, t.walls_shared) for t in across} == {(0.4, 3)}
    assert {(t.width, t.walls_shared) for t in alone} == {(0.3, 1)}
    assert all(t.centres == pytest.approx(1.5 * t.bore) for t in tubes(Seat()) if t.count == 2)


def test_a_tube_takes_what_the_port_result_says():
    found = space(asked=replace(TINY, loadings=("vented", "band-pass-4")))
    seen = set()
    for number in range(found.size):
        family, candidate = found.find(number)
        if (candidate.loading, candidate.tube) in seen:
            continue
        seen.add((candidate.loading, candidate.tube))
        from speakerwright.bass.search.space import chamber_input_of

        result = stage.chamber(chamber_input_of(family, candidate), found.need)
        (port,) = result.ports.values()
        inside = max(port.length - family.inputs.seat.baffle, 0.0)
        assert port.tube_volume == pytest.approx(candidate.tube.section * inside, rel=1e-9)
        assert port.area * port.count == pytest.approx(candidate.tube.area, rel=1e-9)
    assert len(seen) == 2 * 14


# --- records --------------------------------------------------------------------------------------


def with_records(**changes) -> Design:
    plain = design()
    return Design.read(plain.raw, {**plain.raw_records, **changes})


def test_records_that_lack_figures_are_told_and_left_out():
    poor = dict(design().raw_records["fenlark-165"], name="Poor one")
    poor["datasheet"] = {k: v for k, v in poor["datasheet"].items() if k not in ("xmax", "power")}
    found = search_space(with_records(poor=poor), "main", TINY)
    assert "Poor one is not searched: its record does not give or imply xmax, power." in (
        found.left_out)
    assert {family.record for family in found.families} == {"fenlark-165"}  # no tweeter either


def test_a_record_without_a_price_is_told_and_searched():
    free = dict(design().raw_records["fenlark-165"], name="Gift")
    del free["price"]
    found = search_space(with_records(gift=free), "main", TINY)
    assert "Gift has no price in its record, so it comes last." in found.left_out
    assert {f.price for f in found.families if f.record == "gift"} == {None}


def test_without_a_passive_radiators_record_none_is_searched():
    found = space(asked=TINY, drone=False)
    assert found.left_out == (
        "No passive radiator is searched: no record of one has all its figures.",)
    assert {f.loading for f in found.families} == set(SEARCHED) - {"passive-radiator"}


@pytest.mark.parametrize(("asked", "says"), [
    (Asked(records=("fenlrk-165",)), "there is no record of a cone driver 'fenlrk-165'. "
                                     "Did you mean 'fenlark-165'?"),
    (Asked(records=("hedgelet-25",)), "there is no record of a cone driver 'hedgelet-25'."),
    (Asked(loadings=("ventd",)), "there is no loading 'ventd' to search. Did you mean 'vented'?"),
])
def test_what_there_is_not_is_refused(asked, says):
    with pytest.raises(DesignErrors) as caught:
        search_space(design(), "main", asked)
    assert says in str(caught.value)


def test_a_chamber_that_there_is_not_is_refused():
    with pytest.raises(DesignErrors, match="there is no chamber 'mian'"):
        search_space(design(), "mian", SMALL)


# --- what a result rests on -----------------------------------------------------------------------


@pytest.mark.parametrize(("path", "value", "same"), [
    ("bass.main.volume", "9 L", True), ("plan.title", "Another", True),
    ("bass.main.high_pass.frequency", "50 Hz", True), ("drivers.high.record", "fenlark-165", True),
    ("brief.lowest", "55 Hz", False), ("bass.main.losses.leak_q", 9, False),
    ("records.fenlark-165.price", 65, False), ("records.wagtail-200.price", 32, False),
    ("cabinet.depth", "280 mm", False), ("crossover.low_high.frequency", "1800 Hz", False),
])
def test_the_key_stands_for_what_a_result_rests_on(path, value, same):
    plain = design(drone=True)
    assert DRONE["price"] == 31
    changed = plain.with_value(path, value)
    assert (key_of(changed, "main", SMALL) == key_of(plain, "main", SMALL)) is same


def test_another_question_has_another_key():
    keys = {key_of(design(), "main", asked) for asked in (SMALL, TINY, Asked())}
    assert len(keys) == 3
