"""The cabinet's findings: planted faults are found, margins are those of a hand calculation."""

from __future__ import annotations

import dataclasses
import math

import pytest

from speakerwright.cabinet.judgement import judged
from speakerwright.cabinet.stage import _airs
from speakerwright.solids.assembly import collisions
from speakerwright.solids.bodies import box_body

from .designs import cabinet, design, finding, record, vented, worked

T = 18.0
BOLTED = {"bolts": 4, "bolt_circle": "190 mm", "bolt": "M5"}
TWO_ROOMS = {"main": {"height": "300 mm"}, "top": {}}


def rules(found, stage="cabinet"):
    return [f.rule for f in found.findings[stage]]


def test_a_sound_box_only_holds():
    found = worked(bass={"main": {"loads": ["low"], "loading": "closed", "volume": "31.6 L"}})
    # 13 kg are more than one pair of hands should lift from the floor without handles
    assert {str(f.verdict) for f in found.findings["cabinet"]
            if f.rule != "lift_alone"} == {"holds"}


def test_a_brace_through_the_driver_collides():
    """It goes through the magnet, 120 mm wide and 40 mm deep, from 50 to 90 mm: by hand."""
    found = worked(cabinet=cabinet(
        braces=[{"chamber": "main", "at": "282 mm", "open": 0.0, "behind": "60 mm"}]))
    one = finding(found, "parts_collide")
    half, r = 9.0, 60.0  # the sheet's half and the magnet's radius: a flat slice of a disc
    slice_ = 2 * (half * math.sqrt(r * r - half * half) + r * r * math.asin(half / r))
    assert one.value == pytest.approx(1e-9 * slice_ * 30.0, rel=1e-3)
    assert one.stops
    assert "brace and Test cone" in one.text()
    assert "300.0\u202fmm up" in one.text() or "300.0 mm up" in one.text()


def test_a_missing_panel_is_a_leak():
    found = worked()
    panels, bodies, sizes = found.cabinet.panels, found.cabinet.bodies, found.settled.sizes
    assert _airs(panels, bodies, sizes).keys() == {"main"}
    for name in ("top", "left side", "back"):
        rest = tuple(p for p in panels if p.name != name)
        assert _airs(rest, bodies, sizes) == {}
    assert _airs(panels, (), sizes) == {}  # and so is a hole without its driver


def test_a_leak_is_told():
    found = worked({"cone": record(cutout="220 mm")})  # larger than its frame: no body, a hole
    assert finding(found, "chamber_closed").stops
    assert finding(found, "body_known").verdict == "unknown"
    assert found.cabinet.leaks == ("main",)
    assert found.cabinet.rooms[0].net is None


def test_an_open_divider_joins_two_rooms():
    found = worked(cabinet=cabinet(chambers=TWO_ROOMS))
    panels = tuple(p for p in found.cabinet.panels if p.name != "divider")
    assert len(_airs(panels, found.cabinet.bodies, found.settled.sizes)) == 1


def test_a_part_wholly_inside_another_is_found():
    found = worked()
    inner = box_body("lost", (-5.0, 55.0, 295.0), (5.0, 60.0, 305.0))
    seen = collisions([*found.cabinet.panels, *found.cabinet.bodies, inner])
    assert [(c.a, c.b) for c in seen] == [("Test cone", "lost")]
    wood = box_body("knot", (-140.0, 285.0, 10.0), (-130.0, 295.0, 20.0))
    seen = collisions([*found.cabinet.panels, wood])
    assert [(c.a, c.b, round(c.volume_mm3)) for c in seen] == [("back", "knot", 1000)]


def test_touching_parts_do_not_collide():
    """A brace on the magnet's back: 90 mm behind the front."""
    found = worked(cabinet=cabinet(
        braces=[{"chamber": "main", "at": "282 mm", "open": 0.0, "behind": "90 mm"}]))
    assert finding(found, "parts_collide").verdict == "holds"
    closer = worked(cabinet=cabinet(
        braces=[{"chamber": "main", "at": "282 mm", "open": 0.0, "behind": "89.9 mm"}]))
    assert finding(closer, "parts_collide").value == pytest.approx(
        1e-9 * 0.1 * 2 * (9 * math.sqrt(3600 - 81) + 3600 * math.asin(9 / 60)), rel=1e-3)


def test_a_fastener_under_a_divider_is_found():
    """A bolt straight up, 95 mm above the driver's middle, where the divider is."""
    found = worked({"cone": record(**BOLTED)}, cabinet=cabinet(chambers=TWO_ROOMS),
                   directivity={"low": {"at": [["0 mm", "225 mm"]]}})
    one = finding(found, "fastener_room")
    assert one.stops
    assert one.value == pytest.approx(0.0, abs=1e-9)
    assert "divider" in one.text()
    assert finding(found, "parts_collide").stops
    turned = worked({"cone": record(**BOLTED)}, cabinet=cabinet(chambers=TWO_ROOMS),
                    directivity={"low": {"at": [["0 mm", "225 mm"]], "bolt_angle": "45 deg"}})
    assert "parts_collide" not in [f.rule for f in turned.findings["cabinet"] if f.stops]


def test_the_room_of_a_fastener_by_hand():
    """Insert M5: collar 10 mm (from memory). Its edge to the divider, whose face is at 318 mm."""
    found = worked({"cone": record(**BOLTED)}, cabinet=cabinet(chambers=TWO_ROOMS),
                   directivity={"low": {"at": [["0 mm", "210 mm"]]}})
    gap = 318.0 - (210.0 + 95.0) - 5.0
    one = finding(found, "fastener_room")
    # a collar of 24 facets of the circle's area stands 0.03 mm farther out at its corners
    assert one.value == pytest.approx(1e-3 * gap, abs=0.04e-3)
    assert one.margin == pytest.approx(gap / 2.0 - 1.0, abs=0.02)


def test_a_port_through_the_back_is_found():
    found = worked(bass=vented("25 L", bore="60 mm", length="290 mm"))
    one = finding(found, "parts_collide")
    assert "back and port of main" in one.text()
    assert one.value == pytest.approx(1e-9 * math.pi * 33.0**2 * 8.0, rel=1e-6)
    slot = worked(bass=vented("20 L", shape="slot", width="264 mm", height="40 mm", wall="15 mm",
                              walls_shared=3, length="290 mm"))
    assert "back and slot board" in " ".join(f.text() for f in slot.findings["cabinet"])


def test_a_cut_out_off_the_baffle_is_found():
    found = worked(directivity={"low": {"at": [["400 mm", "300 mm"]]}})
    one = finding(found, "cut_on_baffle")
    assert one.stops
    assert "cut-out for Test cone does not lie on the baffle" in one.text()


def test_a_frame_over_the_edge_by_hand():
    found = worked(directivity={"low": {"at": [["62 mm", "300 mm"]]}})
    one = finding(found, "driver_width")
    assert one.value == pytest.approx(0.150 - 0.062 - 0.100)
    assert one.stops


@pytest.mark.parametrize("body", [
    {"cutout": "220 mm"}, {"magnet_height": "120 mm"}, {"frame": None}, {"cutout": None},
])
def test_impossible_bodies_are_findings(body):
    found = worked({"cone": record(**body)})
    assert finding(found, "body_known").verdict == "unknown"


def test_a_flange_as_thick_as_the_baffle_cannot_lie_flush():
    flush = {"low": {"at": [["0 mm", "300 mm"]], "flush": "yes"}}
    found = worked({"cone": record(flange="18 mm")}, directivity=flush)
    assert "cannot lie flush" in finding(found, "body_known").text()
    assert "body_known" not in rules(worked(directivity=flush))


def test_what_is_clear_behind_a_driver_by_hand():
    found = worked(cabinet=cabinet(depth="120 mm"))
    one = finding(found, "driver_depth")
    assert one.value == pytest.approx(0.120 - 0.018 - 0.090)
    assert one.margin == pytest.approx(0.2)
    assert one.verdict == "tight"
    flush = worked(cabinet=cabinet(depth="120 mm"),
                   directivity={"low": {"at": [["0 mm", "300 mm"]], "flush": "yes"}})
    assert finding(flush, "driver_depth").value == pytest.approx(0.006)
    assert finding(flush, "driver_depth").stops


def test_the_depth_chain_adds_up_to_the_depth():
    found = worked(bass=vented("25 L", bore="60 mm", length="120 mm"),
                   directivity={"low": {"at": [["0 mm", "300 mm"]], "flush": "yes"}})
    chains = {chain.name: dict(chain.parts) for chain in found.cabinet.chains}
    assert chains["Test cone"] == {"driver, from the front face": 96.0, "clear": 186.0,
                                   "back": 18.0}
    assert chains["port of main"]["clear"] == pytest.approx(162.0)
    for chain in found.cabinet.chains:
        assert sum(size for _, size in chain.parts) == pytest.approx(300.0)


def test_the_volume_that_does_not_close_by_hand():
    found = worked()
    net = found.cabinet.rooms[0].net
    one = finding(found, "volume_closes")
    assert one.value == pytest.approx(100.0 * (net / 0.030 - 1.0))
    assert one.margin == pytest.approx((3.0 - one.value) / 3.0)
    assert one.stops  # 31.6 L where 30 are asked


def test_the_web_between_two_openings_by_hand():
    found = worked(bass=vented("25 L", bore="60 mm", length="120 mm"),
                   cabinet=cabinet(ports={"main": {"at": [["0 mm", "160 mm"]]}}))
    one = finding(found, "baffle_web")
    assert one.value == pytest.approx(1e-3 * (140.0 - 90.0 - 33.0), rel=5e-3)
    assert one.margin == pytest.approx(0.7, abs=0.02)
    assert "cut-out for Test cone and port of main" in one.text()


def test_drivers_apart_by_hand():
    """Two frames of 200 mm whose middles are 203 mm apart."""
    found = worked(
        cabinet=cabinet(height="600 mm"),
        drivers={"low": {"record": "cone", "count": 2, "wiring": "parallel"}},
        directivity={"low": {"at": [["0 mm", "150 mm"], ["0 mm", "353 mm"]]}})
    one = finding(found, "drivers_apart")
    assert one.value == pytest.approx(0.003, rel=0.03)
    assert one.margin == pytest.approx(2.0, rel=0.05)
    assert "Test cone 1 and Test cone 2" in one.text()


def test_sizes_and_mass_against_the_brief_by_hand():
    brief = {**design().raw["brief"], "size": {"width": "290 mm", "depth": "310 mm",
                                               "mass": "12 kg"}}
    found = worked(brief=brief)
    width, depth = [f for f in found.findings["cabinet"] if f.rule == "size_within"]
    assert (str(width.verdict), str(depth.verdict)) == ("fails", "holds")
    assert width.margin == pytest.approx(-10.0 / 290.0)
    mass = finding(found, "mass_within")
    assert mass.margin == pytest.approx(1.0 - found.cabinet.mass_kg / 12.0)
    unknown = worked(cabinet=cabinet(material="slate"))
    assert finding(unknown, "mass_within").verdict == "unknown"


def test_a_slot_that_does_not_meet_the_sides_is_found():
    sections = {"shape": "slot", "height": "40 mm", "wall": "15 mm", "walls_shared": 3,
                "length": "160 mm"}
    found = worked(bass=vented("20 L", width="250 mm", **sections))
    one = finding(found, "slot_meets_sides")
    assert one.value == pytest.approx(0.014)
    assert one.stops
    whole = worked(bass=vented("20 L", width="264 mm", **sections))
    assert finding(whole, "slot_meets_sides").verdict == "holds"


def test_a_brace_behind_the_back_is_found():
    found = worked(cabinet=cabinet(
        braces=[{"chamber": "main", "at": "100 mm", "behind": "290 mm"}]))
    one = finding(found, "brace_in_box")
    assert one.margin == pytest.approx(-8.0 / 282.0)
    assert "brace" not in [p.name for p in found.cabinet.panels]


def test_hardware_is_counted():
    found = worked({"cone": record(**BOLTED)},
                   cabinet=cabinet(height="600 mm"),
                   drivers={"low": {"record": "cone", "count": 2, "wiring": "parallel"}},
                   directivity={"low": {"at": [["0 mm", "150 mm"], ["0 mm", "400 mm"]]}})
    counts = [(f.name.split(",")[0], f.count, f.purpose) for f in found.cabinet.hardware]
    assert counts == [("M5 threaded insert", 4, "Test cone 1"),
                      ("M5 bolt with washer", 4, "Test cone 1"),
                      ("M5 threaded insert", 4, "Test cone 2"),
                      ("M5 bolt with washer", 4, "Test cone 2")]
    holes = [f for f in found.cabinet.panels[0].features if f.label.startswith("M5")]
    assert len(holes) == 8
    for k, hole in enumerate(holes[:4]):
        assert math.hypot(hole.circle[0], hole.circle[1] - 150.0) == pytest.approx(95.0)
        angle = math.degrees(math.atan2(hole.circle[0], hole.circle[1] - 150.0)) % 360.0
        assert angle == pytest.approx(90.0 * k, abs=1e-6)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 8, 10, 11, 12])
def test_a_rectangular_flange_has_all_its_bolts_on_its_middle_line(count):
    from speakerwright.cabinet.fittings import _rectangle_bolts
    from speakerwright.design.records import Record

    horn = Record.model_validate({
        "format": 1, "what": "horn", "name": "Bell", "throat": {"diameter": "25 mm"},
        "body": {"frame_size": ["330 mm", "250 mm"], "cutout_size": ["304 mm", "224 mm"],
                 "bolts": count},
    })
    points = _rectangle_bolts(horn, 10.0, 500.0)
    assert len({(round(x, 6), round(z, 6)) for x, z in points}) == count
    for x, z in points:
        off = max(abs(x - 10.0) - 158.5, abs(z - 500.0) - 118.5)
        assert off == pytest.approx(0.0, abs=1e-9)


def test_two_jobs_of_one_record_have_two_names():
    found = worked(
        cabinet=cabinet(height="600 mm"),
        drivers={"low": {"record": "cone"}, "mid": {"record": "cone"}},
        directivity={"low": {"at": [["0 mm", "150 mm"]]}, "mid": {"at": [["0 mm", "250 mm"]]}})
    assert [p.name for p in found.cabinet.placed] == ["Test cone", "Test cone (mid)"]
    assert ("Test cone", "Test cone (mid)") in [(c.a, c.b) for c in found.cabinet.collisions]


def test_findings_follow_the_result():
    found = worked()
    small = dataclasses.replace(found.cabinet, collisions=(), mass_kg=None)
    assert "mass_within" in [f.rule for f in judged(design(), small)]


def test_a_loading_that_the_panels_do_not_make_stops_the_plan():
    bass = {"main": {"loads": ["low"], "loading": "front-horn", "volume": "30 L",
                     "horn": {"throat_area": "80 cm^2", "mouth_area": "900 cm^2",
                              "length": "600 mm"}}}
    found = finding(worked(bass=bass), "loading_built")
    assert found.stops
    assert "front horn" in found.says
    assert "loading_built" not in [f.rule for f in worked().all_findings]
