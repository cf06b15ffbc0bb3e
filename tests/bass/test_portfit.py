"""Ports that would fit: what is tried, that it really works out, the order, and taking one."""

import csv
import io
import math
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bass.boxes import DEEP, NEED, TWO_PORTS, inputs, vented
from speakerwright import chain, cli
from speakerwright.bass import port_openings, ports_shown, stage
from speakerwright.bass.inputs import Seat
from speakerwright.bass.port_trial import case_of, inputs_with
from speakerwright.bass.portfit import (
    OBSTACLES,
    PortProposal,
    Prices,
    nothing_fits,
    openings,
    proposals,
)
from speakerwright.chain.flow import need_of
from speakerwright.design.file import read_project
from speakerwright.design.sections.bass import Port
from speakerwright.words.blocks import Heading, Paragraph, Table
from speakerwright.words.errors import DesignErrors
from speakerwright.words.findings import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
PLACED = replace(DEEP, mouths=((0.132, 0.08), (0.282, 0.08)))


def round_port(**changes) -> Port:
    return Port.model_construct(**{"shape": "round", "count": 1, "bore": 0.1, "wall": 0.003,
                                   **changes})


def slot(**changes) -> Port:
    return Port.model_construct(**{"shape": "slot", "count": 1, "width": 0.414, "height": 0.04,
                                   "wall": 0.018, "walls_shared": 3, **changes})


SOME = (
    round_port(bore=0.06), round_port(bore=0.1), round_port(bore=0.125), round_port(bore=0.15),
    round_port(bore=0.3), round_port(count=3, bore=0.075, centres=0.1125),
    round_port(count=2, bore=0.125, centres=0.1875),
    slot(height=0.03), slot(height=0.05), slot(height=0.12),
    slot(width=0.2, height=0.07, walls_shared=1), slot(height=0.3),
)


def worked(seat: Seat = PLACED, need=NEED, **changes):
    return stage.chamber(vented(seat=seat, **changes), need)


@pytest.fixture(scope="module")
def result():
    return worked()


@pytest.fixture(scope="module")
def found(result):
    return proposals(result, NEED, tried=SOME)


def finding(full, rule, where="bass.main.port"):
    return next(f for f in full.findings if f.rule == rule and f.where == where)


# --- what is tried --------------------------------------------------------------------------------


def counts(seat, bore, system="metric"):
    return [port.count for port in openings(seat, TWO_PORTS, system) if port.bore == bore]


def test_as_many_tubes_stand_in_a_row_as_the_width_takes():
    # each takes one and a half bores of 414 mm
    assert counts(DEEP, 0.050) == [1, 2, 3, 4]
    assert counts(DEEP, 0.068) == [1, 2, 3, 4]
    assert counts(DEEP, 0.075) == [1, 2, 3]
    assert counts(DEEP, 0.100) == [1, 2]
    assert counts(DEEP, 0.150) == [1]
    assert counts(replace(DEEP, width=0.450), 0.150) == [1, 2]
    assert counts(Seat(), 0.160) == [1, 2, 3, 4]  # the width is not decided
    assert counts(DEEP, 4 * 0.0254, "inch") == [1, 2]
    assert counts(DEEP, 0.100, "inch") == []


def test_slots_go_from_side_to_side_or_stand_on_the_floor():
    tried = openings(DEEP, TWO_PORTS)
    across = [port for port in tried if port.walls_shared == 3]
    assert {port.width for port in across} == {DEEP.width}
    assert len({port.height for port in across}) == len(across) == 9
    on_floor = [port for port in tried if port.walls_shared == 1]
    # of 300 mm with two boards of 18 mm and twice 40 mm beside them 416 mm, which is too wide
    assert {(port.width, port.height) for port in on_floor} == {
        (0.1, 0.04), (0.15, 0.04), (0.2, 0.04), (0.1, 0.07), (0.15, 0.07), (0.2, 0.07)}
    wider = openings(replace(DEEP, width=0.417), TWO_PORTS)
    assert (0.3, 0.04) in {(port.width, port.height) for port in wider}
    assert all(port.wall == DEEP.baffle for port in across + on_floor)
    assert not [port for port in openings(Seat(), TWO_PORTS) if port.walls_shared == 3]


def test_rounding_and_grille_are_kept():
    like = TWO_PORTS.model_copy(update={"flare": 0.02, "open_share": 0.6})
    assert {(p.flare, p.open_share) for p in openings(DEEP, like)} == {(0.02, 0.6)}
    wide = [p.centres for p in openings(DEEP, like) if p.bore == 0.05 and p.count == 2]
    assert wide == [pytest.approx(0.05 + 2 * (0.003 + 0.02))]


def test_where_ports_stand():
    row = port_openings.mouths(PLACED, SOME[5])
    middle = 0.5 * 0.414
    assert [x for x, _ in row] == pytest.approx([middle - 0.1125, middle, middle + 0.1125])
    assert [z for _, z in row] == pytest.approx([0.0805] * 3)  # 40 mm of air and the wall below
    # two of 100 mm have room where the decided ones stand, two of 125 mm have not
    assert port_openings.mouths(PLACED, round_port(count=2)) == PLACED.mouths
    assert port_openings.mouths(PLACED, SOME[6])[0] == pytest.approx((middle - 0.09375, 0.1055))
    assert port_openings.mouths(PLACED, slot()) == ((middle, 0.02),)
    assert port_openings.mouths(DEEP, SOME[5]) == ()  # where the decided ones stand is not known


# --- every figure is that of the full result ------------------------------------------------------


def test_what_fits_works_out_and_what_does_not_fails(result, found):
    seen = set()
    for each in found:
        full = stage.chamber(inputs_with(result.inputs, each.port), NEED)
        failing = {f.rule for f in full.findings
                   if f.where == "bass.main.port" and f.verdict is Verdict.FAILS}
        loud = finding(full, "level_port", "bass.main")
        seen.add(each.obstacle)
        if each.fits:
            assert not failing
            assert loud.verdict is not Verdict.FAILS
        elif each.obstacle == "speed":
            assert loud.verdict is Verdict.FAILS
        elif each.obstacle == "pipe":
            assert failing == {"port_pipe"}
        elif each.obstacle == "depth":
            assert "port_gap" in failing
        elif each.obstacle == "thin":
            assert full.port.length < DEEP.baffle
        if each.speed is None:
            continue
        assert each.length == pytest.approx(full.port.length, rel=1e-12)
        assert full.port.tuning == pytest.approx(50.0, rel=1e-12)
        assert each.volume == pytest.approx(full.port.tube_volume, rel=1e-9)
        assert each.pipe == pytest.approx(full.port.resonance, rel=1e-12)
        assert each.pipe_db == pytest.approx(finding(full, "port_pipe").value, abs=1e-6)
        assert each.speed == pytest.approx(17.0 * 10 ** (-loud.margin / 20.0), rel=1e-7)
        if not each.port.bends:
            assert each.gap == pytest.approx(full.port.gap, rel=1e-9)
            assert each.gap_ratio == pytest.approx(full.port.gap_ratio, rel=1e-9)
    assert seen == {"", "speed", "pipe", "thin", "beside", "depth"}


@settings(max_examples=12, deadline=None)
@given(depth=st.floats(0.06, 0.7), tuning=st.floats(25.0, 90.0))
def test_over_depth_and_tuning(depth, tuning):
    seat = replace(PLACED, depth=depth - 0.018, behind_mouth=depth)
    made = vented(seat=seat)
    port = TWO_PORTS.model_copy(update={"tuning": tuning})
    decided = stage.chamber(replace(made, chamber=made.chamber.model_copy(
        update={"port": port})), NEED)
    tried = (SOME[3], SOME[5], SOME[8], SOME[10])
    found = proposals(decided, NEED, tried=tried)
    assert [each.now for each in found].count(True) == 1
    assert len(found) == 1 + len(tried)
    for each in found:
        assert (each.obstacle == "") is each.fits
        assert each.obstacle in ("", *OBSTACLES)
        assert each.verdict().endswith(".")
        if not each.fits:
            continue
        full = stage.chamber(inputs_with(decided.inputs, each.port), NEED)
        assert not [f for f in full.findings if f.verdict is Verdict.FAILS
                    and (f.where == "bass.main.port" or f.rule == "level_port")]
        assert full.port.tuning == pytest.approx(tuning, rel=1e-9)
        assert each.gap >= case_of(decided.inputs, each.port).half_height
        assert each.length >= seat.baffle
        assert each.port.bends or each.length + each.gap == pytest.approx(depth, rel=1e-9)


def test_the_decided_port_is_among_them_as_it_stands(result, found):
    now = next(each for each in found if each.now)
    assert now.fits
    assert now.length == pytest.approx(result.port.length, rel=1e-12)
    again = proposals(result, NEED, tried=(round_port(count=2, centres=0.15),))
    assert len(again) == 1  # the same openings are not tried twice


def test_a_port_decided_by_its_length_is_held_to_its_tuning():
    made = vented(seat=PLACED)
    port = TWO_PORTS.model_copy(update={"tuning": None, "length": 0.15})
    result = stage.chamber(replace(made, chamber=made.chamber.model_copy(
        update={"port": port})), NEED)
    found = proposals(result, NEED, tried=(SOME[7],))
    now = next(each for each in found if each.now)
    assert now.length == pytest.approx(0.15, rel=1e-6)
    other = next(each for each in found if not each.now)
    full = stage.chamber(inputs_with(result.inputs, other.port), NEED)
    assert full.port.tuning == pytest.approx(result.port.tuning, rel=1e-9)


def test_without_a_port_there_is_nothing(result):
    assert proposals(stage.chamber(inputs(), NEED), NEED) == ()
    assert ports_shown.blocks((), "metric") == (Paragraph(ports_shown.NO_PORT),)
    assert ports_shown.others(stage.chamber(inputs(), NEED), NEED, "metric") == ()


def test_without_a_cabinet_the_room_is_not_known():
    found = proposals(worked(Seat()), NEED, tried=(SOME[2], SOME[6]))
    assert all(each.gap is None and not each.known for each in found)
    assert {each.verdict() for each in found if each.fits} == {"Whether it goes in is not known."}


# --- bends ----------------------------------------------------------------------------------------


def test_a_tube_that_is_too_long_is_bent(found):
    bent = next(each for each in found if each.port.bore == 0.15)
    assert bent.fits
    assert bent.port.bends == 1
    # back as far as its wall allows, the rest up from 118 mm over the floor, in 632 mm
    back = 0.282 - 0.078
    up = max(bent.length - back, 0.078)
    assert bent.gap == pytest.approx(0.632 - 0.118 - up, rel=1e-9)
    assert bent.gap_ratio == pytest.approx(bent.gap / 0.075, rel=1e-9)
    assert bent.name() == "tube of 150\u202fmm, bent"


def test_a_bend_needs_its_own_room():
    room = port_openings.bent_room
    tube = round_port(bore=0.15, bends=1)
    assert room(DEEP, tube, 0.075, 0.40) == pytest.approx(0.632 - 0.118 - 0.196)
    assert room(DEEP, tube, 0.075, 0.60) == pytest.approx(0.632 - 0.118 - 0.396)
    assert room(DEEP, tube, 0.075, 0.65) is None  # 68 mm are less than its radius
    assert room(replace(DEEP, height=0.2), tube, 0.075, 0.30) == pytest.approx(0.207 - 0.096)
    two = tube.model_copy(update={"count": 2})  # of which only up is left
    assert room(replace(DEEP, height=0.2), two, 0.075, 0.30) is None
    flat = slot(height=0.06, bends=1)  # turned up the rear wall, its middle 30 mm from it
    assert room(DEEP, flat, 0.06, 0.40) == pytest.approx(0.632 - 0.03 - (0.40 - 0.252))
    assert room(replace(DEEP, behind_mouth=None), flat, 0.06, 0.40) is None
    assert room(DEEP, tube, 0.075, 0.09) is None  # too short to turn behind the baffle


def test_no_room_beside_the_cone(found):
    wide = next(each for each in found if each.port.bore == 0.3)
    assert wide.obstacle == "beside"
    made = vented(seat=DEEP)
    cone = 2 * math.sqrt(made.motor.sd / math.pi)  # 260 mm
    tube = round_port(bore=0.1)  # 168 mm up to the edge of its room, 150 mm wide
    assert port_openings.has_room(made, tube)
    low = replace(DEEP, width=0.3, height=0.168 + cone)
    assert port_openings.has_room(replace(made, seat=low), tube)
    assert not port_openings.has_room(
        replace(made, seat=replace(low, height=0.167 + cone)), tube)
    beside = replace(low, height=0.3, width=0.151 + cone)
    assert port_openings.has_room(replace(made, seat=beside), tube)
    assert not port_openings.has_room(
        replace(made, seat=replace(beside, width=0.149 + cone)), tube)


# --- the order ------------------------------------------------------------------------------------


def by_hand(each: PortProposal, dearest=None) -> tuple[float, ...]:
    cost = 0.0 if dearest is None else each.cost / dearest
    return (
        max(each.speed, 10.0) / 17.0, each.length / 0.062 ** (1 / 3),
        max(10 ** (each.pipe_db / 20), 0.1), max(1 / each.gap_ratio, 1 / 3), cost,
        0.5 * each.port.bends, each.volume / 0.062,
    )


def test_the_order_is_as_stated(result):
    found = proposals(result, NEED)
    fitting = [each for each in found if each.fits]
    assert fitting == list(found[: len(fitting)])
    own = {each.name(): by_hand(each) for each in fitting}
    assert len(own) == len(fitting) > 5
    for each in fitting:
        mine = own[each.name()]
        assert each.strain == pytest.approx(sum(mine[:-1]), rel=1e-12)
        beaten = any(all(a <= b for a, b in zip(other, mine, strict=True)) and other != mine
                     for other in own.values())
        assert each.beaten is beaten
    keys = [(each.beaten, each.strain) for each in fitting]
    assert keys == sorted(keys)
    assert {each.beaten for each in fitting} == {False, True}
    rest = [each.speed for each in found[len(fitting):] if each.speed is not None]
    assert rest == sorted(rest)
    assert proposals(result, NEED, 3) == found[:3]
    assert proposals(result, NEED) == found


def test_cost_counts_where_all_of_them_have_one(result):
    tried = (SOME[2], SOME[7])
    prices = Prices(sheet=30.0, tubes=((0.125, 20.0), (0.1, 8.0)))
    found = proposals(result, NEED, prices=prices, tried=tried)
    assert all(each.fits for each in found)
    costs = {each.port.bore: each.cost for each in found}
    lengths = {each.port.bore: each.length for each in found}
    assert costs[0.125] == pytest.approx(20.0 * lengths[0.125])
    assert costs[0.1] == pytest.approx(2 * 8.0 * lengths[0.1])
    assert costs[None] == pytest.approx(30.0 * 0.414 * (lengths[None] - 0.018))
    dearest = max(costs.values())
    for each in found:
        assert each.strain == pytest.approx(sum(by_hand(each, dearest)[:-1]), rel=1e-12)
    some = proposals(result, NEED, prices=Prices(sheet=30.0), tried=tried)
    assert [each.cost is None for each in some].count(True) == 2
    for each in some:  # as without any
        assert each.strain == pytest.approx(sum(by_hand(each)[:-1]), rel=1e-12)


@pytest.mark.parametrize(("walls", "board"), [(3, 0.2), (1, 0.236 + 0.14), (0, 0.472 + 0.14)])
def test_board_of_a_slot(walls, board):
    # over and under it 200 mm and two boards of 18 mm wide, the cheeks 70 mm high
    port = slot(width=0.2, height=0.07, walls_shared=walls)
    assert port_openings.board_per_length(port) == pytest.approx(board)


# --- nothing fits ---------------------------------------------------------------------------------


def test_in_a_shallow_box_nothing_fits_and_it_says_why():
    shallow = Seat(behind_mouth=0.070, depth=0.052, width=0.3, height=0.30)
    asked = worked(shallow)
    found = proposals(asked, NEED)
    assert found
    assert not any(each.fits for each in found)
    says = nothing_fits(found)
    assert says.startswith(f"None of the {len(found)} ports that were tried fits: ")
    numbers = {word: sum(each.obstacle == word for each in found) for word in OBSTACLES}
    assert sum(numbers.values()) == len(found)
    assert f"{numbers['depth']} are too long for the box, also with a bend" in says
    assert numbers["depth"] > 0
    deep = next(each for each in found if each.obstacle == "depth")
    assert "leave its own" in deep.verdict()
    assert found[0].verdict() in says
    title, told = ports_shown.others(asked, NEED, "metric")
    assert title == Heading("Other ports that would fit")
    assert told == Paragraph(says)


def test_too_fast_an_air_is_told_with_its_speed(result):
    loud = replace(NEED, peak_db=NEED.peak_db + 20.0)
    found = proposals(result, loud, tried=SOME[:4])
    assert nothing_fits(found)
    quiet = {each.name(): each.speed for each in proposals(result, NEED, tried=SOME[:4])}
    for each in (each for each in found if each.obstacle == "speed"):
        assert each.speed == pytest.approx(10.0 * quiet[each.name()], rel=1e-9)
        assert "common practice, no source" in each.verdict()


# --- shown, and taken over ------------------------------------------------------------------------


def test_tables_and_values(found):
    made = ports_shown.chapter(found, "main", 50.0, "metric", "EUR")
    tables = [block for block in made.blocks if isinstance(block, Table)]
    fitting = [each for each in found if each.fits]
    assert [len(table.rows) for table in tables] == [len(fitting), len(found) - len(fitting)]
    assert "Cost" not in tables[0].heads  # none is known
    assert [row[0] for row in tables[0].rows].count("2 tubes of 100\u202fmm, decided") == 1
    rows = list(csv.DictReader(io.StringIO(ports_shown.csv_text(found))))
    assert [row["fits"] for row in rows] == ["yes" if each.fits else "no" for each in found]
    first = found[0]
    assert float(rows[0]["length_mm"]) == pytest.approx(1e3 * first.length, rel=1e-5)
    assert float(rows[0]["air_m_per_s"]) == pytest.approx(first.speed, rel=1e-5)
    assert first.name("inch").count("\u202fin") == 1


def test_on_paper_there_are_three_others_at_most(result):
    blocks = ports_shown.others(result, NEED, "metric")
    (table,) = [block for block in blocks if isinstance(block, Table)]
    best = [each for each in proposals(result, NEED) if each.fits and not each.now][:3]
    assert [row[0] for row in table.rows] == [each.name() for each in best]


@pytest.fixture(scope="module")
def hall():
    design = read_project(EXAMPLES / "harbour-hall").design
    workup = chain.work(design, last="bass")
    return design, workup.bass.chambers["main"], need_of(design, workup.brief, "main")


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_what_is_taken_over_works_out_as_it_was_told(hall, system):
    design, result, need = hall
    found = [each for each in proposals(result, need, system=system) if each.fits]
    kinds = {(each.port.shape, each.port.walls_shared, each.port.bends): each for each in found}
    assert len(kinds) >= 4
    for each in (*kinds.values(), *(each for each in found if each.now)):
        wanted = ports_shown.changes(design, "main", result, each, system)
        assert bool(wanted) is not each.now
        now = chain.work(design.with_values(wanted), last="bass").bass.chambers["main"]
        assert now.port.length == pytest.approx(each.length, abs=2e-9)
        assert not [f for f in now.findings if f.verdict is Verdict.FAILS]


def test_what_is_written(hall):
    design, result, need = hall
    tube, across = (
        ports_shown.changes(design, "main", result, each, system) for system, each in (
            ("metric", next(p for p in proposals(result, need) if p.port.bore == 0.125)),
            ("inch", next(p for p in proposals(result, need, system="inch")
                          if p.port.walls_shared == 3))))
    assert tube == {"bass.main.port.count": 1, "bass.main.port.bore": "125 mm",
                    "bass.main.port.centres": None, "cabinet.ports.main": None}
    assert across["bass.main.port.height"].endswith(" in")
    assert across["bass.main.port.width"] == "414 mm"  # of the box, in whatever units it is
    by_length = design.with_values({"bass.main.port.tuning": None,
                                    "bass.main.port.length": "198.6 mm"})
    now = chain.work(by_length, last="bass").bass.chambers["main"]
    other = next(p for p in proposals(now, need) if not p.now and p.fits)
    written = ports_shown.changes(by_length, "main", now, other)
    assert written["bass.main.port.length"] is None
    assert written["bass.main.port.tuning"] == f"{now.port.tuning:.6g} Hz"


def test_prices(hall):
    design, _, _ = hall
    sheets = [s for s in design.decided.cutting.sheets if s.price is not None]
    by_area = min(s.price / (s.size[0] * s.size[1]) for s in sheets)
    found = ports_shown.prices_of(design, ["100 mm = 9.5", "4 in=7"])
    assert found.sheet == pytest.approx(by_area)
    assert found.tubes == ((0.1, 9.5), (pytest.approx(0.1016), 7.0))
    for wrong in ("100 mm", "100 = x", "9 kg = 3", "100 mm = -1"):
        with pytest.raises(DesignErrors, match="no bore with the price"):
            ports_shown.prices_of(design, [wrong])


def test_the_command_prints_them_and_writes_all(monkeypatch, capfd, tmp_path):
    def command(*arguments):
        monkeypatch.setattr(sys, "argv", ["speakerwright", "bass", "ports", *map(str, arguments)])
        try:
            cli.main()
            status = 0
        except SystemExit as left:
            status = left.code or 0
        return status, *(text.replace("\u202f", " ") for text in capfd.readouterr())

    hall_folder, held = EXAMPLES / "harbour-hall", tmp_path / "ports.csv"
    status, out, err = command(hall_folder, "--csv", held, "--tube-price", "125 mm = 14")
    assert (status, err) == (0, f"Wrote {held}\n")
    assert out.startswith("Ports for chamber main at 50.0 Hz")
    assert "decided" in out
    assert "EUR" in out
    assert "Those that do not fit" in out
    assert max(map(len, out.splitlines())) <= 80
    with held.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    tube = next(row for row in rows if row["bore_mm"] == "125" and row["count"] == "1")
    assert float(tube["cost"]) == pytest.approx(14e-3 * float(tube["length_mm"]), rel=1e-4)
    assert [row["decided"] for row in rows].count("yes") == 1
    assert " in" in command(hall_folder, "--inch")[1]
    assert ports_shown.NO_PORT in command(EXAMPLES / "desk-pair")[1]
    status, _, err = command(hall_folder, "--tube-price", "much")
    assert (status, "no bore" in err) == (2, True)
