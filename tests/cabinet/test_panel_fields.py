"""Fields of walls: they tile what is free, whatever stands against it, and say what is simple."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from speakerwright.cabinet.box import Box
from speakerwright.cabinet.fields import DUST, NEAR_END, TOLD, Face, faces, fields, strips
from speakerwright.cabinet.sizes import resolve
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.solids.features import hole
from speakerwright.solids.joints import Joint

PLAIN = {"width": "400 mm", "height": "600 mm", "depth": "350 mm", "sheet": "18 mm"}


def built(**more):
    """Panels, joints and sizes of a cabinet without drivers; None takes an entry out."""
    made = {name: value for name, value in {**PLAIN, **more}.items() if value is not None}
    cabinet = Cabinet.model_validate(made)
    sizes = resolve(cabinet, ("main",), None)
    wood = Box(cabinet, sizes).built([], {})
    return wood.panels, wood.joints, sizes


def brace(at, kind="shelf", **more):
    return {"chamber": "main", "at": f"{at} mm", "kind": kind,
            **{name: f"{value} mm" for name, value in more.items()}}


def shapes(found, panel):
    return [Polygon(field.outline) for field in found if field.panel == panel]


def covered(face: Face, joints, panels):
    """What braces cover of a face, run on to its edge where they nearly reach it."""
    made = []
    for strip in strips(face, joints, panels):
        low, high = face.shape.bounds[strip.along], face.shape.bounds[strip.along + 2]
        start = low if strip.start - low <= NEAR_END else strip.start
        end = high if high - strip.end <= NEAR_END else strip.end
        made.append(shapely.box(start, strip.low, end, strip.high) if strip.along == 0
                    else shapely.box(strip.low, start, strip.high, end))
    return shapely.intersection(shapely.union_all(made), face.shape)


def assert_tiled(panels, joints, sizes, *, stubs=False):
    """Fields are apart and with what stands against a face make it up, but for stubs."""
    found = fields(panels, joints, sizes)
    for face in faces(panels, sizes):
        mine, against = shapes(found, face.panel.name), covered(face, joints, panels)
        every = shapely.union_all(mine)
        assert sum(shape.area for shape in mine) == pytest.approx(every.area, rel=1e-9)
        twice = shapely.intersection(every, against)
        bare = shapely.difference(face.shape, shapely.union(every, against))
        beyond = shapely.difference(every, face.shape)
        assert beyond.area < 1e-6
        for part in (*shapely.get_parts(twice), *shapely.get_parts(bare)):
            u0, v0, u1, v1 = part.bounds
            assert part.area < DUST or (stubs and max(u1 - u0, v1 - v0) <= NEAR_END + 1e-6)
    return found


shelf = st.builds(brace, st.integers(60, 500), st.just("shelf"), behind=st.integers(70, 250))
upright = st.builds(brace, st.integers(-110, 110), st.just("upright"), behind=st.integers(70, 200))
partition = st.builds(brace, st.integers(80, 260), st.just("partition"))
whole = (st.builds(brace, st.integers(60, 500)),
         st.builds(brace, st.integers(-110, 110), st.just("upright")), partition)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.one_of(*whole), max_size=4), st.sampled_from(["butt", "rabbet", "mitre"]))
def test_fields_and_braces_tile_what_is_free_exactly(braces, joint):
    assert_tiled(*built(braces=braces, joint=joint))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.one_of(shelf, upright, *whole), max_size=4))
def test_braces_across_a_part_leave_no_more_than_stubs_uncounted(braces):
    assert_tiled(*built(braces=braces), stubs=True)


@pytest.mark.parametrize("outline", [
    {"top_width": "300 mm"}, {"shoulder": "350 mm", "top_width": "260 mm"},
    {"front_lean": "6 deg"}, {"back_lean": "8 deg", "shoulder": "300 mm", "top_width": "320 mm"},
])
def test_fields_of_shaped_cabinets_tile_too_and_keep_their_area(outline):
    panels, joints, sizes = built(outline=outline, braces=[brace(220)])
    found = assert_tiled(panels, joints, sizes)
    odd = [field for field in found if TOLD["shape"] in field.notes]
    assert odd
    for field in found:
        u0, v0, u1, v1 = field.bounds
        assert (u1 - u0) * (v1 - v0) == pytest.approx(1e6 * field.area, rel=1e-9)
        shape = Polygon(field.outline).bounds
        assert (u1 - u0) / (v1 - v0) == pytest.approx(
            (shape[2] - shape[0]) / (shape[3] - shape[1]), rel=1e-9)


def test_a_plain_box_has_six_faces_between_its_inner_faces():
    found = fields(*built())
    sizes = {field.panel: (field.field.width, field.field.height) for field in found}
    assert len(found) == 6
    assert sizes["baffle"] == sizes["back"] == pytest.approx((0.364, 0.564))
    assert sizes["left side"] == sizes["right side"] == pytest.approx((0.314, 0.564))
    assert sizes["top"] == sizes["bottom"] == pytest.approx((0.364, 0.314))
    grains = {field.panel: field.field.grain for field in found}
    assert (grains["left side"], grains["top"]) == ("y", "x")


def test_fields_are_named_by_what_bounds_them_and_stand_in_the_world():
    found = {field.name: field for field in fields(*built(braces=[brace(200), brace(400)]))}
    below = found["left side, between floor and brace 1"]
    assert set(below.held_by) == {"back", "baffle", "floor", "brace 1"}
    assert "right side, between brace 1 and brace 2" in found
    assert "back, between brace 2 and ceiling" in found
    assert below.field.height == pytest.approx(0.191)
    assert {round(x, 6) for x, _, _ in below.corners} == {-200.0}
    assert sorted({round(z, 6) for _, _, z in below.corners}) == [18.0, 209.0]


def test_a_brace_across_a_part_splits_that_part_and_says_so():
    found = {f.name: f for f in fields(*built(braces=[brace(300, behind=150)]))}
    front = found["left side, between baffle and end of brace"]
    behind = found["left side, between floor and brace, between end of brace and back"]
    assert front.open_cut
    assert TOLD["cut"] in front.notes
    assert front.field.width == pytest.approx(0.150 - 0.018)
    assert behind.field.height == pytest.approx(0.300 - 0.009)
    assert front.before_cut.width == pytest.approx(0.314)
    assert front.area_before_cut == pytest.approx(0.314 * 0.564)
    assert not found["back, between floor and brace"].open_cut


def test_what_is_not_glued_holds_nothing():
    panels, joints, sizes = built(braces=[brace(300)])
    loose = [Joint(j.kind, j.host, j.guest, j.start, j.end, j.width, j.into, glued=False)
             if "brace" in (j.host, j.guest) else j for j in joints]
    assert len(fields(panels, loose, sizes)) == 6


def test_rods_and_open_bays_leave_no_field():
    rods = built(rods=[{"chamber": "main", "at": ["250 mm", "150 mm"]}])
    assert len(fields(*rods)) == 6
    bay = built(height=None, chambers={"main": {"height": "300 mm"},
                                       "bay": {"height": "200 mm", "open": True}})
    assert {field.room for field in fields(*bay)} == {"main"}
    assert not any("of main" in field.name for field in fields(*bay))


def test_a_driver_stands_in_the_field_of_its_hole_with_its_mass():
    panels, joints, sizes = built(braces=[brace(200)])
    panels = tuple(p.with_feature(hole(20.0, 400.0, 180.0, "cut-out", mate="cone"),
                                  hole(90.0, 400.0, 6.0, "insert", mate="cone"))
                   if p.role == "baffle" else p for p in panels)
    found = {f.name: f for f in fields(panels, joints, sizes, {"cone": 5.0})}
    upper = found["baffle, between brace and ceiling"]
    (mass,) = upper.field.masses
    assert (mass.x, mass.y, mass.mass) == pytest.approx((0.202, 0.400 - 0.227, 5.0))
    assert [mount.name for mount in upper.mounts] == ["cone"]
    assert not upper.judged
    assert found["baffle, between floor and brace"].judged
    unknown = {f.name: f for f in fields(panels, joints, sizes, {"cone": None})}[upper.name]
    assert not unknown.field.masses
    assert unknown.mounts == upper.mounts


def test_what_is_no_plate_says_why():
    panels, joints, sizes = built(braces=[brace(60)])
    small = {f.name: f for f in fields(panels, joints, sizes)}["back, between floor and brace"]
    assert small.field is None
    assert TOLD["small"] in small.notes
    board = built(material="granite")
    assert all(field.field is None and "granite" in field.notes[0] for field in fields(*board))
    wide = tuple(p.with_feature(hole(0.0, 300.0, 350.0, "port")) if p.role == "baffle" else p
                 for p in panels)
    share = math.pi * 175.0**2 / (364.0 * 495.0)
    assert share > 0.5
    upper = {f.name: f for f in fields(wide, joints, sizes)}["baffle, between brace and ceiling"]
    assert TOLD["open"] in upper.notes
