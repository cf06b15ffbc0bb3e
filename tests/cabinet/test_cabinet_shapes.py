"""Shaped cabinets: net volumes by hand, no overlaps, closed chambers, joints of every kind."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from speakerwright.cabinet.result import CabinetResult
from speakerwright.solids.assembly import union_volume

from .designs import cabinet, cone_volume, vented, worked

W, H, D, T = 300.0, 500.0, 300.0, 18.0
CLOSE = 5e-4
SHOULDERS = {"top_width": "180 mm", "shoulder": "250 mm"}
JOINTS = ("butt", "rabbet", "mitre")


def built(**changes):
    found = worked(cabinet=cabinet(**changes))
    assert found.cabinet is not None, [f.text() for f in found.findings["cabinet"]]
    return found.cabinet


def net(found: CabinetResult, room: str = "main") -> float:
    (one,) = [r.net for r in found.rooms if r.name == room]
    assert one is not None
    return one * 1e9


def sound(found: CabinetResult) -> None:
    assert found.collisions == ()
    assert found.leaks == ()


def shouldered(width: float, top: float, shoulder: float, high: float, sheet: float) -> float:
    """Inner area of a front outline with shoulders, by hand: each wall moved in by its sheet.

    The sides' inner faces meet the shoulders' where both moved lines cross; from there the shoulder
    runs straight up to the inner face of the top.
    """
    lean = math.atan2(0.5 * (width - top), high - shoulder)  # from upright
    slope = math.tan(lean)
    # the shoulder's inner face is sheet / cos(lean) further in at every height
    half_at = lambda z: 0.5 * width - slope * (z - shoulder) - sheet / math.cos(lean)  # noqa: E731
    half = 0.5 * width - sheet
    knee = shoulder + (0.5 * width - sheet / math.cos(lean) - half) / slope
    upper = 0.5 * (2.0 * half + 2.0 * half_at(high - sheet)) * (high - sheet - knee)
    return 2.0 * half * (knee - sheet) + upper


@pytest.mark.parametrize("joint", JOINTS)
def test_net_volume_of_a_prism(joint):
    found = built(joint=joint)
    sound(found)
    by_hand = (W - 2 * T) * (H - 2 * T) * (D - 2 * T) - cone_volume()
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)


@pytest.mark.parametrize("joint", JOINTS)
def test_net_volume_with_shoulders(joint):
    found = built(joint=joint, outline=SHOULDERS)
    sound(found)
    by_hand = shouldered(W, 180.0, 250.0, H, T) * (D - 2 * T) - cone_volume()
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)
    assert found.rooms[0].gross * 1e9 == pytest.approx(by_hand + cone_volume(), rel=1e-12)
    assert {p.role for p in found.panels} == {"baffle", "back", "side", "shoulder", "top", "bottom"}


def test_net_volume_of_the_chamber_under_an_open_bay():
    found = built(height="700 mm", joint="rabbet", chambers={
        "main": {"height": "420 mm"}, "bay": {"open": True}})
    sound(found)
    by_hand = (W - 2 * T) * 420.0 * (D - 2 * T) - cone_volume()
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)
    back = next(p for p in found.panels if p.role == "back")
    assert back.bounding_box[5] == pytest.approx(T + 420.0 + T)  # up to the divider's upper face
    (bay,) = [r for r in found.rooms if r.name == "bay"]
    assert bay.net is None


def test_net_volume_with_dadoes_filled_by_their_panels():
    found = built(joint="rabbet", inner={"joint": "dado", "depth": "6 mm", "stop": "15 mm"},
                  braces=[{"chamber": "main", "at": "60 mm", "open": 0.4},
                          {"chamber": "main", "at": "430 mm", "open": 0.5}])
    sound(found)
    area = (W - 2 * T) * (D - 2 * T)
    by_hand = area * (H - 2 * T) - cone_volume() - T * area * (0.6 + 0.5)
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)
    dadoes = [j for j in found.joints if j.kind == "dado"]
    assert {(j.host, j.guest) for j in dadoes} == {
        (side, brace) for side in ("left side", "right side") for brace in ("brace 1", "brace 2")}
    for joint in dadoes:  # they stop 15 mm behind the inside of the baffle, and run to the back
        ends = sorted((joint.start[1], joint.end[1]))
        assert ends == pytest.approx([T + 15.0, D - T])
    side = next(p for p in found.panels if p.name == "left side")
    groove = next(f for f in side.features if f.label == "dado for the brace 1")
    assert groove.depth == 6.0
    u0, v0, u1, v1 = groove.shape.bounds
    assert v1 - v0 == pytest.approx(T + 0.2)  # wider by the clearance
    assert u1 - u0 == pytest.approx(D - 2 * T - 15.0)


def test_a_tongue_near_a_shoulder_reaches_the_bottom_of_its_dado():
    """The shoulder's inner face, drawn on downward, passes through the side's wood."""
    found = built(height="700 mm", joint="rabbet", inner={"joint": "dado"},
                  outline={"top_width": "240 mm", "shoulder": "460 mm"},
                  chambers={"main": {"height": "420 mm"}, "bay": {"open": True}})
    sound(found)
    divider = next(p for p in found.panels if p.role == "divider")
    assert divider.bounding_box[3] - divider.bounding_box[0] == pytest.approx(W - 2 * T + 12.0)


def test_net_volume_with_a_port_through():
    found = worked(cabinet=cabinet(joint="butt"), bass=vented("25 L", bore="60 mm", wall="3 mm",
                                                              length="120 mm")).cabinet
    sound(found)
    port = math.pi / 4.0 * 66.0**2 * (120.0 - T)
    by_hand = (W - 2 * T) * (H - 2 * T) * (D - 2 * T) - cone_volume() - port
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)


@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("outline", [
    {"top_width": "200 mm"}, {"front_lean": "8 deg"}, {"back_lean": "6 deg"},
    {**SHOULDERS, "front_lean": "5 deg", "back_lean": "5 deg"}])
def test_leaning_walls_close_and_do_not_overlap(joint, outline):
    found = built(joint=joint, outline=outline)
    sound(found)
    inner = found.settled.sizes.rooms[0].gross * 1e9
    wood = union_volume(list(found.panels))
    outside = outer_volume(found)
    cone = sum(float(b.solid.volume()) for b in found.bodies if b.kind == "air plug")
    # a rebate is cut square to its panel: where walls lean, wedges of a few mm³ stay open in it
    hidden = 1e-5 if joint == "rabbet" else 1e-9
    assert wood + cone + inner == pytest.approx(outside, rel=hidden)


def outer_volume(found: CabinetResult) -> float:
    """Volume of the outside, mm³: the outline's area times the depth at its middle's height."""
    shape = found.settled.sizes.shape
    outline = Polygon(shape.corners)
    middle = outline.centroid.y
    return float(outline.area) * (shape.back(middle) - shape.front(middle)) * 1e9


def test_an_outline_of_any_corners():
    points = [["-150 mm", "0 mm"], ["150 mm", "0 mm"], ["200 mm", "250 mm"], ["0 mm", "600 mm"],
              ["-200 mm", "250 mm"]]
    found = built(width=None, height=None, outline={"points": points})
    sound(found)
    assert found.settled.sizes.width == pytest.approx(0.4)
    assert sum(p.role == "shoulder" for p in found.panels) == 2


def test_a_mitre_has_its_angle_and_bevels():
    found = built(joint="mitre")
    kinds = {(j.kind, round(j.angle_deg, 6)) for j in found.joints}
    assert kinds == {("mitre", 90.0)}
    top = next(p for p in found.panels if p.name == "top")
    assert top.bevels == pytest.approx([-1.0] * 4)  # 45 degrees all round, the inside smaller
    assert top.bounding_size == pytest.approx((W, D))


def test_what_is_not_square_is_mitred():
    found = built(joint="butt", outline=SHOULDERS)
    angle = 180.0 - math.degrees(math.atan2(60.0, 250.0))
    between = [j for j in found.joints if {j.host, j.guest} == {"left side", "left shoulder"}]
    assert [j.kind for j in between] == ["mitre"]
    assert between[0].angle_deg == pytest.approx(angle)
    assert between[0].length == pytest.approx(D - 2 * T)  # between baffle and back


def test_braces_that_cross_are_let_into_each_other():
    found = built(braces=[{"chamber": "main", "at": "60 mm", "open": 0.0},
                          {"chamber": "main", "kind": "upright", "at": "0 mm", "behind": "150 mm",
                           "open": 0.0}])
    sound(found)
    (lap,) = [j for j in found.joints if j.kind == "half-lap"]
    assert {lap.host, lap.guest} == {"brace 1", "brace 2"}
    assert lap.length == pytest.approx(D - T - 150.0)
    one, two = (p for p in found.panels if p.role == "brace")
    notches = [next(f for f in p.features if f.label.startswith("half-lap")) for p in (one, two)]
    for notch in notches:
        u0, v0, u1, v1 = notch.shape.bounds
        sides = sorted((u1 - u0, v1 - v0))
        assert sides == pytest.approx([T + 0.2, 0.5 * (D - T - 150.0)])


def test_a_notch_that_runs_into_a_window_is_told():
    crossing = [{"chamber": "main", "at": "60 mm", "open": 0.5},
                {"chamber": "main", "kind": "upright", "at": "0 mm", "behind": "150 mm",
                 "open": 0.0}]
    found = worked(cabinet=cabinet(braces=crossing))
    (one,) = [f for f in found.findings["cabinet"] if f.rule == "lap_leaves_wood"]
    assert one.stops
    assert one.value == 0.0
    crossing[0] |= {"windows": 2}  # the notch runs in the bar between them
    found = worked(cabinet=cabinet(braces=crossing))
    (one,) = [f for f in found.findings["cabinet"] if f.rule == "lap_leaves_wood"]
    assert one.value == pytest.approx(0.5e-3 * (bar(found.cabinet) - T - 0.2))


def bar(found: CabinetResult) -> float:
    """Width of the bar between the two windows of the first brace, mm."""
    brace = next(p for p in found.panels if p.name == "brace 1")
    one, two = (f.shape for f in brace.features if f.label.startswith("window"))
    return float(one.distance(two))


def test_depth_behind_a_driver_counts_square_to_a_leaning_baffle():
    """By hand: a line square to the front from 300 mm up its slope, to the back's inner face."""
    found = built(outline={"front_lean": "8 deg", "back_lean": "3 deg"})
    front, back = math.radians(8.0), math.radians(3.0)
    y, z = 300.0 * math.sin(front), 300.0 * math.cos(front)
    t = 0.0
    for _ in range(100):  # walk along the line until the back's inner face stands before it
        wall = D - (z - t * math.sin(front)) * math.tan(back) - T / math.cos(back)
        t += (wall - (y + t * math.cos(front))) / math.cos(front)
    (chain,) = found.chains
    assert sum(v for name, v in chain.parts if name != "back") == pytest.approx(t, abs=1e-5)


def test_nothing_stands_behind_an_open_bay():
    found = built(height="700 mm", chambers={"main": {"height": "164 mm"}, "bay": {"open": True}})
    (chain,) = found.chains  # the driver stands in the bay
    assert dict(chain.parts)["back"] == 0.0
    assert sum(v for _, v in chain.parts) == pytest.approx(D)


def test_an_inset_loose_back_stands_against_battens():
    found = built(joint="mitre", back_joint="inset", back={"fixing": "loose", "batten": "22 mm"})
    sound(found)
    battens = [p for p in found.panels if p.role == "batten"]
    assert len(battens) == 4
    assert {p.thickness for p in battens} == {22.0}
    loose = [j for j in found.joints if not j.glued]
    assert {j.guest for j in loose if j.kind == "batten"} == {p.name for p in battens}
    back = next(p for p in found.panels if p.name == "back")
    assert back.bounding_size == pytest.approx((W - 2 * T, H - 2 * T))
    around = 22.0**2 * (2 * (W - 2 * T) + 2 * (H - 2 * T - 44.0))
    by_hand = (W - 2 * T) * (H - 2 * T) * (D - 2 * T) - cone_volume() - around
    assert net(found) == pytest.approx(by_hand, rel=CLOSE)


def test_a_flange_reaches_out_all_round():
    found = built(flange={"overhang": "25 mm"})
    sound(found)
    assert found.panels[0].bounding_size == pytest.approx((W + 50.0, H + 50.0))


def test_rods_stand_between_the_walls():
    found = built(rods=[{"chamber": "main", "at": ["60 mm", "200 mm"]},
                        {"chamber": "main", "runs": "along", "at": ["400 mm", "80 mm"]}])
    sound(found)
    rods = [b for b in found.bodies if b.kind == "rod"]
    lengths = sorted(max(b.solid.bounding_box()[k + 3] - b.solid.bounding_box()[k]
                         for k in range(3)) for b in rods)
    assert lengths == pytest.approx([W - 2 * T, D - 2 * T])


@settings(max_examples=12, deadline=None)
@given(st.sampled_from(JOINTS), st.sampled_from(("butt", "dado")), st.floats(160.0, 290.0),
       st.one_of(st.just(0.0), st.floats(40.0, 300.0)), st.floats(-6.0, 10.0),
       st.floats(-6.0, 10.0),
       st.floats(40.0, 120.0), st.booleans())
def test_random_shapes_close_without_overlaps(joint, inner, top, shoulder, front, back, at, loose):
    kinds = {"back_joint": "inset", "back": {"fixing": "loose"}} if loose else {}
    found = worked({"cone": small()}, cabinet=cabinet(
        joint=joint, inner={"joint": inner, "stop": "12 mm"}, **kinds,
        outline={"top_width": f"{top:.3f} mm", "shoulder": f"{shoulder:.3f} mm",
                 "front_lean": f"{front:.3f} deg", "back_lean": f"{back:.3f} deg"},
        braces=[{"chamber": "main", "at": f"{at:.3f} mm", "open": 0.4},
                {"chamber": "main", "kind": "partition", "at": "190 mm", "open": 0.6,
                 "to_height": f"{at + 60.0:.3f} mm"}])).cabinet
    assert found.leaks == ()
    wood = {panel.name for panel in found.panels}  # a back's screws may reach past a batten
    assert [c for c in found.collisions if {c.a, c.b} <= wood] == []


def small():
    from .designs import record

    return record(frame="120 mm", cutout="100 mm", depth="60 mm", magnet_diameter="80 mm",
                  magnet_height="25 mm", flange="4 mm")
