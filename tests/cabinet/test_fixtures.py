"""Fixtures on their walls: places, air taken, holes closed, screws; drivers on a leaning baffle."""

from __future__ import annotations

import math

import numpy as np
import pytest

from speakerwright.cabinet import fittings
from speakerwright.cabinet.bolting import T_NUTS, UPRIGHT
from speakerwright.cabinet.fixtures import fixtures, spot_on
from speakerwright.cabinet.inputs import INSERTS, places
from speakerwright.design.sections.fixtures import Fixing
from speakerwright.solids.panels import Placement

from .designs import cabinet, design, record, worked

T = 18.0
BOLTED = {"bolts": 4, "bolt_circle": "190 mm", "bolt": "M5"}
LOOSE = {"back_joint": "inset", "back": {"fixing": "loose"}}


def with_cabinet(records=None, **changes):
    """The plain cabinet with fixtures, a little box of 300 x 500 x 300 mm."""
    return worked(records, cabinet=cabinet(**changes)).cabinet


def net_mm3(found):
    return 1e9 * found.rooms[0].net


def sound(found):
    assert found.collisions == ()
    assert found.leaks == ()


@pytest.fixture(scope="module")
def plain_net():
    return net_mm3(with_cabinet())


@pytest.mark.parametrize(("fixture", "inside"), [
    ({"terminal": {"at": ["0 mm", "250 mm"], "cutout": "57 mm", "depth": "40 mm"}},
     math.pi / 4.0 * 57.0**2 * 40.0),
    ({"terminal": {"on": "left", "at": ["150 mm", "100 mm"], "cutout_size": ["60 mm", "80 mm"],
                   "depth": "35 mm"}}, 60.0 * 80.0 * 35.0),
    ({"handles": [{"on": "right", "at": ["150 mm", "420 mm"]}]}, 120.0 * 80.0 * (60.0 - T)),
    ({"handles": [{"on": "top", "at": ["0 mm", "150 mm"], "depth": "50 mm"}]},
     120.0 * 80.0 * (50.0 - T)),
    ({"board": {"on": "bottom", "at": ["0 mm", "150 mm"], "size": ["100 mm", "80 mm"],
                "height": "40 mm"}},
     100.0 * 80.0 * 20.0 + 4.0 * math.pi / 4.0 * 10.0**2 * 10.0),
    ({"feet": {}}, 0.0),
    ({"grille": {}}, 0.0),
    ({"handles": [{"on": "back", "kind": "bar", "at": ["0 mm", "400 mm"]}]},
     2.0 * math.pi / 4.0 * 18.0**2 * 8.0),
])
def test_what_a_fixture_takes_from_the_air(plain_net, fixture, inside):
    """The hole is closed, and the room loses just what stands behind the wall, by hand."""
    found = with_cabinet(**fixture)
    sound(found)
    assert plain_net - net_mm3(found) == pytest.approx(inside, rel=1e-6, abs=2.0)


def test_a_handle_stands_where_it_is_said():
    """From the front and above the bottom on a side; its body reaches inward from the face."""
    found = with_cabinet(handles=[{"on": "left", "at": ["190 mm", "420 mm"]}])
    (body,) = [b for b in found.bodies if b.kind == "handle"]
    assert body.solid.bounding_box() == pytest.approx(
        (-150.0, 130.0, 380.0, -90.0, 250.0, 460.0), abs=1e-6)
    found = with_cabinet(terminal={"at": ["-50 mm", "250 mm"], "cutout": "60 mm"})
    (body,) = [b for b in found.bodies if b.kind == "terminal"]
    x0, y0, z0, x1, y1, z1 = body.solid.bounding_box()
    assert (0.5 * (x0 + x1), 0.5 * (z0 + z1)) == pytest.approx((-50.0, 250.0), abs=1e-6)
    assert (y0, y1) == pytest.approx((300.0 - T - 40.0, 300.0))
    assert body.room.bounding_box()[1] == pytest.approx(300.0 - T - 70.0)  # and its cable


def test_a_place_is_found_on_a_shoulder_and_on_a_leaning_back():
    found = with_cabinet(outline={"shoulder": "300 mm", "top_width": "200 mm",
                                  "back_lean": "8 deg"})
    sizes = found.settled.sizes
    panel, u, v = spot_on("right", (0.12, 0.40), sizes, found.panels)
    assert panel.name == "right shoulder"
    x, y, z = panel.placement.to_world([(u, v, 0.0)])[0]
    assert (x, y, z) == pytest.approx((150.0 - 50.0 * 100.0 / 200.0, 120.0, 400.0))
    assert spot_on("right", (0.12, 0.20), sizes, found.panels)[0].name == "right side"
    panel, u, v = spot_on("back", (0.03, 0.25), sizes, found.panels)
    x, y, z = panel.placement.to_world([(u, v, 0.0)])[0]
    assert (x, y, z) == pytest.approx((30.0, 300.0 - 250.0 * math.tan(math.radians(8.0)), 250.0))
    assert spot_on("left", (0.12, 0.60), sizes, found.panels) is None


def test_fixtures_on_leaning_walls_close_their_holes():
    shape = {"shoulder": "250 mm", "top_width": "220 mm", "back_lean": "6 deg",
             "front_lean": "4 deg"}
    bare = with_cabinet(outline=shape)
    found = with_cabinet(outline=shape, handles=[{"on": "left", "at": ["150 mm", "400 mm"],
                                                  "cutout": ["80 mm", "60 mm"]}],
                         terminal={"at": ["0 mm", "150 mm"], "cutout": "57 mm"})
    sound(found)
    taken = 80.0 * 60.0 * (60.0 - T) + math.pi / 4.0 * 57.0**2 * 40.0
    assert net_mm3(bare) - net_mm3(found) == pytest.approx(taken, rel=1e-5)


def test_what_does_not_lie_on_its_wall_is_told():
    found = worked(cabinet=cabinet(handles=[{"on": "left", "at": ["40 mm", "250 mm"]}]))
    (one,) = [f for f in found.findings["cabinet"] if f.rule == "fixture_on_wall"]
    assert one.stops
    assert one.text() == "The handle reaches over the edge of the left side."
    read = design(cabinet=cabinet(handles=[{"on": "left", "at": ["40 mm", "250 mm"]}]))
    (made,) = fixtures(read, found.settled.sizes, found.cabinet.panels)
    assert made.bodies == ()
    assert made.features == {}


def test_three_feet_stand_two_in_front():
    found = with_cabinet(feet={"count": 3, "inset": "20 mm", "diameter": "40 mm"})
    feet = [b for b in found.bodies if b.kind == "foot"]
    boxes = [b.solid.bounding_box() for b in feet]
    middles = sorted((0.5 * (b[0] + b[3]), 0.5 * (b[1] + b[4])) for b in boxes)
    bottom = next(p for p in found.panels if p.role == "bottom")
    half = 0.5 * bottom.bounding_size[0] - 40.0
    assert middles == [pytest.approx(m) for m in
                       ((-half, 40.0), (0.0, 260.0), (half, 40.0))]
    assert [(b[2], b[5]) for b in boxes] == [pytest.approx((-20.0, 0.0))] * 3


def test_a_grille_rebate_is_a_ring_on_the_outside():
    found = with_cabinet(grille={"width": "12 mm", "depth": "6 mm"})
    bare = with_cabinet()
    taken = bare.panels[0].net_volume - found.panels[0].net_volume
    assert taken == pytest.approx(6.0 * (300.0 * 500.0 - 276.0 * 476.0))
    one = found.panels[0].features[-1]
    assert (one.face, one.depth) == ("outside", 6.0)


def test_a_loose_back_is_screwed_all_round():
    found = with_cabinet(**LOOSE)
    sound(found)
    screws = [b for b in found.bodies if b.kind == "screw"]
    back = next(p for p in found.panels if p.role == "back")
    holes = [f.circle for f in back.features if f.label.startswith("screw")]
    assert len(screws) == len(holes) == 16
    (x0, y0), (x1, y1) = np.array(holes)[:, :2].min(axis=0), np.array(holes)[:, :2].max(axis=0)
    u0, v0, u1, v1 = back.outline.bounds
    assert (x0 - u0, y0 - v0, u1 - x1, v1 - y1) == pytest.approx((10.0,) * 4)  # half a batten
    left = sorted(v for u, v, _ in holes if abs(u - x0) < 1e-6)
    assert max(np.diff(left)) <= 120.0 + 1e-9
    assert [f.count for f in found.hardware if "screw" in f.name] == [16]


def fitted(kind, lean_deg=0.0, **body):
    """The bolted test cone on a baffle that leans."""
    made = design({"cone": record(**{**BOLTED, **body})})
    sizes = worked({"cone": record(**BOLTED)}).settled.sizes
    lean = math.radians(lean_deg)
    frame = UPRIGHT if not lean_deg else Placement(
        (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, math.sin(lean), math.cos(lean)))
    (placed,) = places(made, sizes)
    return fittings.driver(placed, sizes, frame, kind), frame


@pytest.mark.parametrize("kind", [None, Fixing(kind="t-nut"), Fixing(kind="screw")])
def test_a_driver_follows_its_leaning_baffle(kind):
    """Seen from the baffle's own axes every body is where it is on an upright one."""
    upright, _ = fitted(kind)
    leaning, frame = fitted(kind, 12.0)
    assert len(upright.bodies) == len(leaning.bodies) > 5
    for one, other in zip(upright.bodies, leaning.bodies, strict=True):
        turn = frame.matrix[:3, :3].T
        back = other.solid.transform(np.column_stack((turn, -turn @ np.array(frame.origin))))
        x0, y0, z0, x1, y1, z1 = one.solid.bounding_box()
        assert back.bounding_box() == pytest.approx((x0, z0, -y1, x1, z1, -y0), abs=1e-6)
        assert back.volume() == pytest.approx(one.solid.volume(), rel=1e-9)
    for one, other in zip(upright.features, leaning.features, strict=True):
        assert one.shape.equals_exact(other.shape, 1e-9)


def test_inserts_are_as_before():
    made, _ = fitted(None)
    diameter, collar, end = INSERTS["M5"]
    ends = [b for b in made.bodies if b.kind == "fastener"]
    assert len(ends) == 4
    by_hand = math.pi / 4.0 * (diameter**2 * T + collar**2 * end)
    assert ends[0].solid.volume() == pytest.approx(by_hand, rel=1e-6)


def test_t_nuts_lie_on_the_inside():
    made, _ = fitted(Fixing(kind="t-nut"))
    hole, wide, thick, _ = T_NUTS["M5"]
    nut = next(b for b in made.bodies if b.kind == "fastener")
    _, y0, _, _, y1, _ = nut.solid.bounding_box()
    end = INSERTS["M5"][2]
    assert (y0, y1) == pytest.approx((0.0, T + end))
    by_hand = math.pi / 4.0 * (hole**2 * T + wide**2 * thick + 5.0**2 * (end - thick))
    assert nut.solid.volume() == pytest.approx(by_hand, rel=1e-6)
    assert {f.kind for f in made.features} == {"through"}


@pytest.mark.parametrize(("length", "through"), [(None, False), ("20 mm", False), ("30 mm", True)])
def test_wood_screws_come_out_only_when_they_are_long(length, through):
    """18 mm of wood under a 6 mm flange: 24 mm is flush with the inside."""
    made, _ = fitted(Fixing(kind="screw", length=length))
    pilots = [f for f in made.features if f.label.startswith("pilot")]
    assert [f.kind for f in pilots] == ["through" if through else "drill"] * 4
    assert all(f.circle[2] == pytest.approx(3.5) for f in pilots)
    screw = next(b for b in made.bodies if b.kind == "fastener")
    reach = {None: 20.0, "20 mm": 20.0, "30 mm": 30.0}[length] - 6.0
    assert screw.solid.bounding_box()[4] == pytest.approx(reach)
    if not through:
        assert pilots[0].depth == pytest.approx(reach)
