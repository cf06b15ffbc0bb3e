"""Findings of fit: planted faults are found and named, margins are those of a hand calculation."""

from __future__ import annotations

import math
import time

import pytest

from speakerwright.cabinet import fit
from speakerwright.chain import Memo, work
from speakerwright.design.file import read_project
from speakerwright.solids.assembly import collisions

from .designs import ROOT, cabinet, cone_volume, finding, record, worked

T = 18.0
BOLTED = {"bolts": 4, "bolt_circle": "190 mm", "bolt": "M5"}
LOOSE = {"back_joint": "inset", "back": {"fixing": "loose"}}
BOARD = {"on": "bottom", "at": ["0 mm", "150 mm"], "size": ["120 mm", "100 mm"], "height": "50 mm"}
TERMINAL = {"at": ["0 mm", "100 mm"], "cutout": "57 mm"}
HORN = {
    "format": 1, "what": "horn", "name": "Test horn", "mass": "1 kg", "coverage": ["90 deg",
    "60 deg"], "mouth": ["140 mm", "120 mm"], "length": "100 mm",
    "throat": {"diameter": "25.4 mm"},
    "body": {"frame_size": ["170 mm", "150 mm"], "cutout_size": ["150 mm", "130 mm"],
             "flange": "6 mm"},
}
HIGH = {
    "format": 1, "what": "driver", "type": "compression", "name": "Test high", "mass": "2 kg",
    "datasheet": {"re": "5.8 ohm", "fs": "650 Hz"}, "exit": {"diameter": "25.4 mm"},
    "body": {"depth": "58 mm", "magnet_diameter": "102 mm"},
}


def fitted(body=None, **changes):
    return worked({"cone": record(**(body or {}))}, cabinet=cabinet(**changes))


def test_every_driver_comes_out():
    """What is left all round is how much the basket has narrowed behind the baffle."""
    one = finding(fitted(), "driver_comes_out")
    assert one.verdict == "holds"
    assert one.value == pytest.approx(1e-3 * (90.0 - 60.0) / 50.0 * T, rel=2e-3)


def test_a_magnet_larger_than_the_cutout_does_not_come_out():
    one = finding(fitted({"magnet_diameter": "190 mm"}), "driver_comes_out")
    assert one.stops
    assert one.value == pytest.approx(-0.005, rel=1e-2)
    assert "Test cone does not come out through the cut-out for Test cone" in one.text()


def test_a_t_nut_in_the_basket_s_way_is_found():
    """A magnet of 88 mm radius passes the hole's 90, not the nuts' flanges: 95 less 8.5 mm."""
    body = {**BOLTED, "magnet_diameter": "176 mm"}
    assert finding(fitted(body), "driver_comes_out").verdict == "holds"
    one = finding(fitted(body, fixing={"kind": "t-nut"}), "driver_comes_out")
    assert one.stops
    assert "M5 T-nut 1 of Test cone" in one.text()


def test_a_t_nut_under_a_brace_collides_and_an_insert_beside_it_does_not():
    """The topmost bolt stands at 395 mm, its flange reaches 8.5 mm up."""
    def nuts(at, kind):
        found = fitted(BOLTED, fixing={"kind": kind},
                       braces=[{"chamber": "main", "at": f"{at} mm", "open": 0.5}])
        return [(c.a, c.b) for c in found.cabinet.collisions if "Test cone" not in (c.a, c.b)]

    touching = 395.0 + 8.5 + 9.0 - T  # its lower face on the flange's rim, over the floor
    assert nuts(touching + 0.05, "t-nut") == []
    assert nuts(touching - 0.05, "t-nut") == [("brace", "M5 T-nut 1 of Test cone")]
    assert nuts(touching - 0.05, "insert") == []


def horn_box(magnet="102 mm", **changes):
    high = {**HIGH, "body": {**HIGH["body"], "magnet_diameter": magnet}}
    return worked(
        {"cone": record(), "high": high, "horn": HORN},
        drivers={"low": {"record": "cone"}, "high": {"record": "high", "horn": "horn"}},
        directivity={"low": {"at": [["0 mm", "160 mm"]]}, "high": {"at": [["0 mm", "390 mm"]]}},
        cabinet=cabinet(**{"chambers": {"main": {"height": "264 mm"}, "top": {}}, **changes}))


def test_a_horn_s_driver_comes_out_with_it_or_from_behind():
    assert finding(horn_box(), "driver_comes_out").verdict == "holds"
    stuck = finding(horn_box("136 mm"), "driver_comes_out")
    assert stuck.stops
    assert stuck.value == pytest.approx(-0.003, rel=0.03)
    bay = {"main": {"height": "264 mm"}, "top": {"open": True}}
    assert finding(horn_box("136 mm", chambers=bay), "driver_comes_out").verdict == "holds"
    assert finding(horn_box("136 mm", **LOOSE), "driver_comes_out").verdict == "holds"


def test_a_board_comes_out_through_the_driver_s_hole():
    """Its smallest face is 50 x 100 mm; 180 mm across leave (180 - 111.8)/2 at its corners."""
    one = finding(fitted(board=BOARD), "board_comes_out")
    assert one.verdict == "holds"
    assert "cut-out for Test cone" in one.text()
    small = record(cutout="110 mm", frame="130 mm", magnet_diameter="80 mm")
    none = finding(worked({"cone": small}, cabinet=cabinet(board=BOARD)), "board_comes_out")
    assert none.stops
    assert none.value == pytest.approx(-5e-4 * (math.hypot(50.0, 100.0) - 110.0), rel=0.05)
    loose = finding(worked({"cone": small}, cabinet=cabinet(board=BOARD, **LOOSE)),
                    "board_comes_out")
    assert loose.verdict == "holds"
    assert "loose back" in loose.text()


def test_a_board_under_a_closed_brace_finds_no_way():
    """The opening is wide enough, but nothing leads to it."""
    one = finding(fitted(board=BOARD, braces=[{"chamber": "main", "at": "110 mm", "open": 0.1}]),
                  "board_comes_out")
    assert one.verdict == "unknown"
    assert "brace" in one.text()


def test_a_board_where_a_port_is_collides_and_is_named():
    found = worked(
        bass={"main": {"loads": ["low"], "loading": "vented", "volume": "30 L",
                       "port": {"shape": "round", "bore": "60 mm", "wall": "3 mm",
                                "tuning": "40 Hz"}}},
        cabinet=cabinet(board={**BOARD, "at": ["0 mm", "110 mm"]},
                        ports={"main": {"at": [["0 mm", "70 mm"]]}}))
    names = {frozenset((c.a, c.b)) for c in found.cabinet.collisions}
    assert frozenset(("crossover board", "port of main")) in names


def test_a_cable_without_room():
    """A shallow box: 264 mm inside, the magnet ends at 90, the cup reaches in 40."""
    terminal = {"at": ["0 mm", "300 mm"], "cutout": "57 mm", "cable": "60 mm"}
    deep = finding(fitted(terminal=terminal), "cable_room")
    assert deep.value == pytest.approx(1e-3 * (300.0 - T - 40.0 - 90.0), abs=1e-6)
    assert "Test cone" in deep.text()
    found = fitted(terminal=terminal, depth="200 mm")
    tight = finding(found, "cable_room")
    assert tight.stops
    assert tight.value == pytest.approx(1e-3 * (200.0 - T - 40.0 - 90.0), abs=1e-6)
    assert [(c.a, c.b) for c in found.cabinet.collisions] == [
        ("Test cone", "terminal with its cable")]


def test_touching_is_not_colliding():
    terminal = {"at": ["0 mm", "300 mm"], "cutout": "57 mm", "cable": "152 mm"}
    found = fitted(terminal=terminal)
    assert found.cabinet.collisions == ()
    assert finding(found, "cable_room").value == pytest.approx(0.152, abs=1e-6)


def test_a_hand_reaches_the_terminal():
    one = finding(fitted(terminal=TERMINAL), "hand_room")
    assert one.verdict == "holds"
    assert (one.value, one.limit) == pytest.approx((0.180, 0.090))
    small = record(cutout="80 mm", frame="100 mm", magnet_diameter="60 mm")
    assert finding(worked({"cone": small}, cabinet=cabinet(terminal=TERMINAL)), "hand_room").stops
    round_it = finding(fitted(terminal=TERMINAL, braces=[
        {"chamber": "main", "at": "150 mm", "open": 0.0}]), "hand_room")
    assert round_it.verdict == "tight"
    assert "brace" in round_it.text()


def test_a_bolt_near_the_cutout():
    """190 mm of bolt circle against 180 of cut-out: 5 mm, once the diameter of an M5."""
    one = finding(fitted(BOLTED), "bolt_edge")
    assert one.value == pytest.approx(0.005, rel=1e-2)
    assert one.limit == pytest.approx(0.005)
    near = finding(fitted({**BOLTED, "bolt_circle": "188 mm"}), "bolt_edge")
    assert near.stops
    assert near.margin == pytest.approx(4.0 / 5.0 - 1.0, abs=0.02)
    wide = {**BOLTED, "frame": "230 mm", "bolt_circle": "202 mm"}
    assert finding(fitted(wide), "bolt_edge").verdict == "holds"


@pytest.mark.parametrize(("length", "verdict"), [
    ("11 mm", "fails"), ("13 mm", "tight"), ("16 mm", "holds"), ("23 mm", "holds"),
    ("24 mm", "fails"), ("30 mm", "fails")])
def test_screws_bite_and_stay_inside(length, verdict):
    """A 6 mm flange on 18 mm of wood: 6 mm of bite are the least, 9 better, 18 come out."""
    one = finding(fitted(BOLTED, fixing={"kind": "screw", "length": length}), "screw_length")
    assert one.limit == pytest.approx(0.018 if length in ("24 mm", "30 mm") else 0.006)
    assert one.verdict == verdict
    assert ("come out" in one.text()) == (length in ("24 mm", "30 mm"))


def test_a_screw_under_a_handle_cannot_be_tightened():
    """A bar handle of 20 mm over the upper row of a loose back's screws, at 472 mm."""
    found = fitted(**LOOSE, handles=[{"on": "back", "kind": "bar", "at": ["0 mm", "465 mm"],
                                      "cutout": ["200 mm", "20 mm"], "depth": "40 mm"}])
    one = finding(found, "tool_room")
    assert one.stops
    assert one.limit == pytest.approx(0.030)
    assert "handle" in one.text()
    free = finding(fitted(**LOOSE), "tool_room")
    assert free.verdict == "holds"


def test_a_stated_volume_that_the_outline_does_not_allow_says_both():
    one = finding(fitted({"volume": "9 L"}), "body_volume")
    assert one.verdict == "tight"
    assert "9.00" in one.text()
    by_hand = cone_volume() * 1e-9
    assert one.figures["outline"][0] == pytest.approx(by_hand, rel=1e-4)
    assert finding(fitted({"volume": "1.2 L"}), "body_volume").verdict == "holds"


def test_one_finding_of_a_rule():
    design = read_project(ROOT / "examples" / "quay-stage").design
    found = fit.findings(design, work(design, Memo()).cabinet)
    assert len({f.rule for f in found}) == len(found) >= 6


def test_it_is_quick():
    """Wanted: findings below 60 ms and all collisions below 100 ms; three times that is allowed
    here, for machines that are busy."""
    design = read_project(ROOT / "examples" / "harbour-hall").design
    result = work(design, Memo()).cabinet

    def quickest(call):
        times = []
        for _ in range(3):
            start = time.process_time()
            call()
            times.append(time.process_time() - start)
        return min(times)

    assert quickest(lambda: fit.findings(design, result)) < 0.18
    assert quickest(lambda: collisions((*result.panels, *result.bodies))) < 0.30
