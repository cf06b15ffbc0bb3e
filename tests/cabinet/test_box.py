"""Panels of butt and rabbet boxes: inside sizes, touching, volumes and masses by hand."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon

from speakerwright.cabinet.stage import _filled
from speakerwright.cabinet.windows import with_windows
from speakerwright.solids.assembly import clearance, collisions, union_volume
from speakerwright.solids.chambers import chambers
from speakerwright.solids.meshes import bounds
from speakerwright.solids.shapes import rectangle

from .designs import EXAMPLES, cabinet, cone_volume, example, record, vented, worked

W, H, D, T = 300.0, 500.0, 300.0, 18.0
GROSS = (W - 2 * T) * (H - 2 * T) * (D - 2 * T)
RABBET = {"joint": "rabbet", "rabbet": "7 mm"}
BRACE = {"chamber": "main", "at": "60 mm", "open": 0.4}


def net(found, name="main"):
    """Net volume of a room as the solids leave it, mm³."""
    return 1e9 * next(room.net for room in found.cabinet.rooms if room.name == name)


def panel(found, name):
    return next(p for p in found.cabinet.panels if p.name == name)


@pytest.mark.parametrize("joint", [{}, RABBET], ids=["butt", "rabbet"])
def test_the_inside_is_the_same_for_both_joints(joint):
    bare = worked({"cone": record(frame=None)}, cabinet=cabinet(**joint))
    panels = bare.cabinet.panels
    assert bounds([p.solid() for p in panels]) == pytest.approx((-150, 0, 0, 150, 300, 500))
    (air,) = chambers(panels)
    assert air.volume_mm3 == pytest.approx(GROSS, rel=1e-9)
    assert air.solid.bounding_box() == pytest.approx((-132, 18, 18, 132, 282, 482), abs=0.002)


@pytest.mark.parametrize("joint", [{}, RABBET], ids=["butt", "rabbet"])
def test_panels_touch_and_never_collide(joint):
    found = worked(cabinet=cabinet(**joint, braces=[BRACE]))
    panels = found.cabinet.panels
    assert collisions(panels) == ()
    pairs = [("baffle", other) for other in ("left side", "right side", "top", "bottom", "brace")]
    pairs += [("back", other) for other in ("left side", "right side", "top", "bottom", "brace")]
    pairs += [(a, b) for a in ("left side", "right side") for b in ("top", "bottom", "brace")]
    for a, b in pairs:
        assert clearance(panel(found, a), panel(found, b), 5.0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("joint", [{}, RABBET], ids=["butt", "rabbet"])
def test_the_sizes_of_the_panels_by_the_joints_rule(joint):
    r = 7.0 if joint else 0.0
    found = worked(cabinet=cabinet(**joint))
    sizes = {p.name: p.bounding_size for p in found.cabinet.panels}
    assert sizes["baffle"] == sizes["back"] == pytest.approx((W, H))
    assert sizes["left side"] == sizes["right side"] == pytest.approx((D - 2 * T + 2 * r, H))
    ends = (W - 2 * T + 2 * r, D - 2 * T + 2 * r)
    assert sizes["top"] == sizes["bottom"] == pytest.approx(ends)


@pytest.mark.parametrize("joint", [{}, RABBET], ids=["butt", "rabbet"])
def test_the_outside_is_panels_air_and_bodies(joint):
    """The box is full: panels (their holes filled by what is in them), air, bodies inside."""
    found = worked(cabinet=cabinet(**joint, braces=[{**BRACE, "at": "420 mm"}]),
                   bass=vented("25 L", bore="60 mm", length="120 mm"))
    assert found.cabinet.collisions == ()
    panels, bodies = _filled(found.cabinet.panels, found.cabinet.bodies)
    wood = union_volume(panels)  # rebates are filled by what lies in them
    if not joint:
        assert wood == pytest.approx(sum(p.net_volume for p in panels), rel=1e-12)
    inside = sum(float(b.solid.trim_by_plane((0.0, 1.0, 0.0), T).volume()) for b in bodies)
    assert wood + net(found) + inside == pytest.approx(W * H * D, rel=1e-9)


def test_holes_filled_or_with_all_that_stands_in_them_leave_the_same_air():
    """The quick way to the net volume against the long one, on every example."""
    for name in EXAMPLES:
        found = example(name)
        long = sorted(air.volume_mm3 for air in chambers(found.cabinet.panels,
                                                         found.cabinet.bodies))
        quick = sorted(1e9 * room.net for room in found.cabinet.rooms)
        # the long way counts the clearance beside what lies in dadoes as air; glue fills it
        assert quick == pytest.approx(long, rel=2e-5 if name == "harbour-hall" else 1e-6)


def test_net_volume_with_the_driver_alone():
    assert net(worked()) == pytest.approx(GROSS - cone_volume(), rel=1e-6)


def test_net_volume_with_a_stated_volume_and_a_flush_flange():
    found = worked({"cone": record(volume="1.1 L")},
                   directivity={"low": {"at": [["0 mm", "300 mm"]], "flush": "yes"}})
    assert net(found) == pytest.approx(GROSS - 1.1e6, rel=1e-6)


def test_net_volume_with_a_round_port():
    found = worked(bass=vented("25 L", bore="60 mm", wall="3 mm", length="120 mm"))
    tube = math.pi * 33.0**2 * (120.0 - T)
    assert net(found) == pytest.approx(GROSS - cone_volume() - tube, rel=1e-6)


def test_net_volume_with_a_brace():
    found = worked(cabinet=cabinet(braces=[BRACE]))
    brace = 0.6 * (W - 2 * T) * (D - 2 * T) * T
    assert panel(found, "brace").net_volume == pytest.approx(brace, rel=1e-6)
    assert net(found) == pytest.approx(GROSS - cone_volume() - brace, rel=1e-6)


@pytest.mark.parametrize(("shared", "port", "taken", "boards"), [
    (3, {"width": "264 mm"}, 264.0 * (40 + 15), 1),
    (1, {"width": "150 mm"}, (150.0 + 30) * (40 + 15), 3),
    (0, {"width": "150 mm"}, (150.0 + 30) * (40 + 30), 4),
])
def test_net_volume_with_a_slot(shared, port, taken, boards):
    found = worked(bass=vented("20 L", shape="slot", height="40 mm", wall="15 mm",
                               walls_shared=shared, length="160 mm", **port))
    gone = taken * (160.0 - T)
    assert net(found) == pytest.approx(GROSS - cone_volume() - gone, rel=1e-6)
    assert found.cabinet.rooms[0].closed_form == pytest.approx(
        1e-9 * (GROSS - gone), rel=1e-6)  # the record states no volume for the driver
    mine = [p for p in found.cabinet.panels if p.role == "slot board"]
    assert len(mine) == boards
    assert all(p.thickness == 15.0 for p in mine)
    assert sum(p.net_volume for p in mine) == pytest.approx(
        gone - float(port["width"].split()[0]) * 40.0 * (160.0 - T), rel=1e-9)
    assert found.cabinet.collisions == ()
    assert found.cabinet.leaks == ()


def test_a_slot_without_a_wall_has_a_board_of_the_sheet():
    found = worked(bass=vented("20 L", shape="slot", width="264 mm", height="40 mm", wall="0 mm",
                               walls_shared=3, length="160 mm"))
    assert panel(found, "slot board").thickness == T
    gone = 264.0 * (40 + T) * (160.0 - T)
    assert net(found) == pytest.approx(GROSS - cone_volume() - gone, rel=1e-6)
    assert found.cabinet.rooms[0].closed_form == pytest.approx(1e-9 * (GROSS - gone))


def test_mass_and_centre_of_a_simple_box():
    """Six boards of birch plywood, 680 kg/m³ (from memory), and the driver's 5 kg, by hand."""
    found = worked({"cone": record(cutout="180 mm")}, cabinet=cabinet())
    hole = math.pi * 90.0**2 * T
    boards = [  # volume, middle y, middle z
        (W * H * T - hole, T / 2, (W * H * T * 250.0 - hole * 300.0) / (W * H * T - hole)),
        (W * H * T, D - T / 2, 250.0),
        (2 * (D - 2 * T) * H * T, 150.0, 250.0),
        ((D - 2 * T) * (W - 2 * T) * T, 150.0, H - T / 2),
        ((D - 2 * T) * (W - 2 * T) * T, 150.0, T / 2),
    ]
    wood = 680e-9 * sum(v for v, _, _ in boards)
    assert found.cabinet.mass_kg == pytest.approx(wood + 5.0, rel=1e-9)
    x, y, z = found.cabinet.centre_mm
    driver_y = 0.75 * (90.0 - 20.0) + 0.25 * 25.0  # three quarters in the magnet: rule of thumb
    assert x == pytest.approx(0.0, abs=1e-9)
    assert y == pytest.approx((680e-9 * sum(v * m for v, m, _ in boards) + 5.0 * driver_y)
                              / (wood + 5.0), rel=1e-6)
    assert z == pytest.approx((680e-9 * sum(v * m for v, _, m in boards) + 5.0 * 300.0)
                              / (wood + 5.0), rel=1e-6)


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.9])
@pytest.mark.parametrize("size", [(264.0, 264.0), (500.0, 120.0), (60.0, 400.0)])
def test_a_brace_window_has_its_share_and_even_rims(share, size):
    (window,) = (cut.shape for cut in with_windows(rectangle(0.0, 0.0, *size), share))
    assert window.area == pytest.approx(share * size[0] * size[1], rel=1e-5)
    x0, y0, x1, y1 = window.bounds
    assert (x0, y0) == pytest.approx((size[0] - x1, size[1] - y1))
    assert x0 == pytest.approx(y0)


def test_a_closed_brace_has_no_window():
    assert with_windows(rectangle(0.0, 0.0, 200.0, 200.0), 0.0) == ()


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("outline", [
    rectangle(0.0, 0.0, 264.0, 414.0), Polygon([(0, 0), (414, 0), (300, 264), (114, 264)])])
def test_several_windows_share_alike_with_bars_as_wide_as_rims(count, outline):
    windows = [cut.shape for cut in with_windows(outline, 0.4, count)]
    assert len(windows) == count
    assert sum(w.area for w in windows) == pytest.approx(0.4 * outline.area, rel=1e-5)
    rim = min(w.distance(outline.exterior) for w in windows)
    assert windows[0].distance(windows[1]) == pytest.approx(rim, rel=1e-6)
