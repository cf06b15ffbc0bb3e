import math
import time
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.potential.sections import rectangle
from speakerwright.acoustics import ends, neighbours, openings, slits, slots
from speakerwright.acoustics.enclosures import Enclosure, image_sum
from speakerwright.acoustics.mouths import Grille, Mouth, end_correction

BOX = Enclosure(0.414, 0.632, 0.264)
DEEP = Mouth(radius=0.05, wall=0.003, gap=0.08, sides=(0.132, 0.1), neighbours=((0.15, 0.0),),
             box=BOX, place=(0.132, 0.1, 0.184))


@given(st.floats(0.02, 0.08), st.floats(0.0, 0.02), st.floats(0.02, 0.3), st.floats(0.0, 0.05))
@settings(max_examples=25, deadline=None)
def test_parts_add_to_the_total(radius, wall, gap, flare):
    found = end_correction(Mouth(radius=radius, wall=wall, gap=gap, sides=(0.1,), flare=flare,
                                 neighbours=((2.5 * radius, 0.0),), grille=Grille(0.6)))
    assert sum(found.parts.values()) == pytest.approx(found.total, rel=1e-12)


def test_round_mouth_by_hand():
    found = end_correction(DEEP)
    inner = ends.facing_wall_end(0.05, 0.003, 0.08)
    inner += neighbours.side_walls_end(0.05, 0.003, (0.132, 0.1), 0.08)
    inner += neighbours.pair_inside_end(0.05, 0.003, 0.15, 0.08)
    assert found.total - found.parts["rest of the box"] == pytest.approx(inner, rel=1e-12)
    here, there = (0.132, 0.1, 0.184), (0.282, 0.1, 0.184)
    whole = image_sum(BOX, here, here) + image_sum(BOX, here, there)
    near = [0.0, 0.132, 0.1, math.hypot(0.132, 0.1), 0.075]
    counted = sum(0.5 / math.hypot(d, 0.08) + (0.5 / d if d else 0.0) for d in near)
    flush = ends.flanged_end(0.05) - ends.unflanged_end(0.05, 0.003)  # what the baffle gives most
    counted += 0.5 / 0.184 - 0.5 / math.hypot(0.184, 0.05**2 / (8.0 * flush))
    assert found.parts["rest of the box"] == pytest.approx(
        0.05**2 / 4.0 * (whole - counted), rel=1e-9)


def test_in_a_box_it_hardly_matters_which_walls_are_told_apart():
    # whichever walls are told apart, the whole is the same but for what the tube's body adds
    whole = end_correction(DEEP).total
    plain = end_correction(Mouth(radius=0.05, wall=0.003, gap=0.08, neighbours=((0.15, 0.0),),
                                 box=BOX, place=(0.132, 0.1, 0.184))).total
    assert whole > plain == pytest.approx(whole, rel=0.05)


@pytest.mark.parametrize(("width", "gap"), [(1.5, 3.0), (1.5, 1.0)])
def test_mouth_in_the_corner_of_a_closed_box_by_potential_flow(width, gap):
    mouth = rectangle(width, 1.0, 0.3, box=(12.0, 9.0), fine=0.1, growth=3.5)
    law = end_correction(Mouth(width=width, height=1.0, wall=0.3, gap=gap, shared=2,
                               box=Enclosure(12.0, 9.0, gap + 6.0), place=(width / 2, 0.5, 6.0)))
    assert law.total == pytest.approx(mouth.correction_in_box(gap, 6.0), rel=0.012)
    assert law.parts["rest of the box"] < -0.1


def test_slot_sharing_walls():
    shared = [end_correction(Mouth(width=0.3, height=0.05, wall=0.018, gap=0.1, shared=n)).total
              for n in (0, 1, 2)]
    assert shared == pytest.approx([slots.rectangular_tube_end(w, h, 0.018, 0.1)
                                    for w, h in ((0.3, 0.05), (0.3, 0.1), (0.6, 0.1))], rel=1e-12)
    spanning = end_correction(Mouth(width=0.414, height=0.04, wall=0.018, gap=0.08, shared=3,
                                    box=BOX, place=(0.207, 0.02, 0.184)))
    assert spanning.total == pytest.approx(
        slits.slot_across_end(0.04, 0.018, 0.632, 0.08, 0.184), rel=1e-12)
    lost = end_correction(Mouth(width=0.414, height=0.04, wall=0.018, shared=3))
    assert lost.total == pytest.approx(slits.step_in_duct_end(0.04, 0.32), rel=1e-12)
    assert "not known" in lost.doubt


def test_slot_beside_a_side_wall_is_half_of_two():
    beside = end_correction(Mouth(width=0.2, height=0.05, wall=0.0, sides=(0.15,)))
    assert beside.parts["side walls"] == pytest.approx(
        0.5 * openings.like_rectangle_end(0.05, 0.2, 0.3), rel=1e-12)


def test_outside():
    plain = end_correction(Mouth(radius=0.05, flush=True))
    assert plain.total == pytest.approx(0.82167 * 0.05)
    low = end_correction(Mouth(radius=0.05, flush=True, sides=(0.08,), neighbours=((0.15, 0.0),)))
    assert low.parts["floor outside"] == pytest.approx(openings.twin_openings(0.05, 0.16))
    assert low.parts["neighbours"] == pytest.approx(openings.twin_openings(0.05, 0.15))
    slot = end_correction(Mouth(width=0.3, height=0.05, flush=True, sides=(0.025,)))
    whole = openings.rectangle_end(0.3, 0.1) - openings.rectangle_end(0.3, 0.05)
    assert slot.parts["floor outside"] == pytest.approx(whole, rel=1e-9)
    assert slot.parts["plain end"] == slots.flush_rectangle_end(0.3, 0.05)


def test_shape_of_the_edge_and_grille():
    found = end_correction(Mouth(radius=0.05, flush=True, flare=0.02, grille=Grille(0.5)))
    assert found.parts["rounded edge"] < 0.0 < found.parts["grille"]
    free = end_correction(Mouth(radius=0.05, wall=0.003, flare=0.02))
    assert free.total == pytest.approx(0.05 * 0.5618, rel=0.01)  # of the table, 0.4 radii


def test_what_is_doubtful_is_said():
    assert end_correction(Mouth(radius=0.05, gap=0.051)).doubt == ""
    near = end_correction(Mouth(radius=0.05, gap=0.049))
    assert near.valid
    assert "narrower" in near.doubt
    assert not end_correction(Mouth(radius=0.05, gap=0.012)).valid
    assert not end_correction(Mouth(radius=0.05, flush=True, flare=0.16)).valid
    assert end_correction(Mouth(width=0.3, height=0.05, shared=1, gap=0.049)).doubt
    assert not end_correction(Mouth(width=0.3, height=0.05, shared=1, gap=0.014)).valid


def test_bad_mouths_are_refused():
    for bad in ({"radius": 0.05, "width": 0.1, "height": 0.1}, {"width": 0.1},
                {"radius": 0.05, "shared": 1}, {"width": 0.1, "height": 0.1, "shared": 4},
                {"radius": 0.05, "box": BOX}):
        with pytest.raises(ValueError, match=r"mouth|shares|together"):
            Mouth(**bad)


def test_a_mouth_takes_little_time():
    # asked some hundred times for one length; generous for a loaded machine
    end_correction(DEEP)
    took = []
    for k in range(20):
        mouth = Mouth(radius=0.05, wall=0.003, gap=0.08 + 1e-5 * k, sides=(0.132, 0.1))
        start = time.perf_counter()
        end_correction(mouth)
        took.append(time.perf_counter() - start)
    assert min(took) < 1e-3


def test_a_tube_that_hardly_leaves_the_baffle_is_flush():
    """In a large box its end goes evenly from a flush one to a free one; it never runs away."""
    radius, box = 0.05, Enclosure(4.0, 4.0, 4.0)

    def end(z):
        return end_correction(Mouth(radius=radius, wall=0.0, gap=4.0 - z, sides=(2.0, 2.0),
                                    box=box, place=(2.0, 2.0, z))).total

    flush, free = ends.flanged_end(radius), ends.unflanged_end(radius)
    assert end(0.0) == pytest.approx(flush, rel=0.02)
    found = [end(z) for z in (0.0, 1e-8, 1e-4, 0.01, 0.03, 0.1, 0.3, 1.0)]
    assert found[1] == pytest.approx(found[0], rel=1e-6)
    assert all(a >= b for a, b in pairwise(found))
    assert found[-1] == pytest.approx(free, rel=0.03)
