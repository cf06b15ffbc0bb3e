"""Sketches of loadings: their words and figures are right, inside the picture and apart."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from drawing.reading import SVG, overlaps, paths, rings, tree, words
from speakerwright.drawing.loading_sketch import (
    TITLES,
    LoadingSketch,
    SketchBaffle,
    SketchDuct,
    SketchPassive,
    SketchPort,
    loading_sketch,
    said,
)
from speakerwright.drawing.loading_sketch_parts import share_of
from speakerwright.drawing.marks import Hatch, Text
from speakerwright.drawing.palette import colour

ROUND = SketchPort(0.1, 0.2065, 48.0)
CONE = {"cone_area": 0.0531, "resonance": 48.0, "called": "tuning"}
CASES = {
    "closed": LoadingSketch("closed", 0.0531, 62.4, "resonance", volume=0.060, qtc=0.707),
    "vented": LoadingSketch("vented", volume=0.062, port=ROUND, **CONE),
    "two ports": LoadingSketch("vented", volume=0.062, port=replace(ROUND, count=2), **CONE),
    "slot": LoadingSketch("vented", volume=0.062, **CONE, port=SketchPort(
        0.03, 0.2128, 48.0, width=0.4, on_floor=True)),
    "passive-radiator": LoadingSketch("passive-radiator", volume=0.062,
                                      passive=SketchPassive(0.0531, 0.15, 2), **CONE),
    "band-pass-4": LoadingSketch("band-pass-4", volume=0.040, front_volume=0.030, **CONE,
                                 front=SketchPort(0.12, 0.1387, 70.0)),
    "band-pass-6": LoadingSketch("band-pass-6", volume=0.080, front_volume=0.030, port=ROUND,
                                 front=SketchPort(0.12, 0.0868, 80.0), **CONE),
    "transmission-line": LoadingSketch(
        "transmission-line", 0.0531, 43.9, "quarter wave", fill_share=0.5,
        duct=SketchDuct(1.9, 0.031, 0.018, 0.2)),
    "front-horn": LoadingSketch("front-horn", 0.0531, 50.6, "horn cutoff", volume=0.040,
                                duct=SketchDuct(1.5, 0.025, 0.4, before=0.002)),
    "open-baffle": LoadingSketch("open-baffle", 0.0531, 50.3, "resonance",
                                 baffle=SketchBaffle(0.5, 0.9, 0.2, 0.55, 0.2185)),
}
SAYS = {
    "closed": ["60 L, resonance 62.4 Hz, Qtc 0.707", "driver, Sd 531 cm²"],
    "vented": ["62 L, tuned to 48 Hz", "port Ø 100 mm, 206.5 mm long"],
    "two ports": ["62 L, tuned to 48 Hz", "2 ports Ø 100 mm, each 206.5 mm long"],
    "slot": ["slot 400 × 30 mm, 212.8 mm long"],
    "passive-radiator": ["2 passive radiators, Sd 531 cm², moving mass 150 g each",
                         "62 L, tuned to 48 Hz"],
    "band-pass-4": ["front 30 L, tuned to 70 Hz", "rear 40 L, closed",
                    "front port Ø 120 mm, 138.7 mm long"],
    "band-pass-6": ["front 30 L, tuned to 80 Hz", "rear 80 L, tuned to 48 Hz",
                    "rear port Ø 100 mm, 206.5 mm long", "front port Ø 120 mm, 86.8 mm long"],
    "transmission-line": ["line 1.9 m along its axis, 310 to 180 cm², quarter wave 43.9 Hz",
                          "driver, Sd 531 cm², at 20 % of the length", "mouth 180 cm²",
                          "fill in 50 % of the length, from the closed end"],
    "front-horn": ["exponential horn 1.5 m, throat to mouth 250 to 4000 cm², cutoff 50.6 Hz",
                   "air before the cone 2 L", "rear 40 L, closed"],
    "open-baffle": ["500", "900", "200", "550", "the rear, in opposite phase",
                    "front to rear count as 218.5 mm apart",
                    "driver, Sd 531 cm², resonance 50.3 Hz"],
}


def read(sketch):
    """All its words in one line, with plain spaces."""
    return " ".join(text for text, *_ in words(str(sketch))).replace("\u202f", " ").replace(
        "\u00a0", " ")


def test_every_loading_is_drawn_here():
    assert {case.loading for case in CASES.values()} == set(TITLES)
    assert set(SAYS) == set(CASES)


@pytest.mark.parametrize("case", CASES)
def test_figures_are_named_in_the_reader_s_units(case):
    found = read(CASES[case])
    assert [text for text in SAYS[case] if text not in found] == []
    assert "a sketch Not to scale, dimensions in millimetres" in found


def test_inches_feet_and_fractions():
    found = read(replace(CASES["vented"], system="inch"))
    assert "2.19 ft³, tuned to 48 Hz" in found  # 62 / 28.3168 (the foot is 304.8 mm)
    assert "port Ø 3 15/16 in, 8 1/8 in long" in found
    assert "dimensions in inches" in found
    assert "line 74 13/16 in" in read(replace(CASES["transmission-line"], system="inch"))


def test_zeros_at_the_end_go_and_others_stay():
    assert said(0.100, "volume", "metric") == "100\u202fL"
    assert said(0.0625, "volume", "metric") == "62.5\u202fL"
    assert said(100.0, "frequency", "metric") == "100\u202fHz"


def drawn_well(sketch):
    """All words inside the picture, big enough, and none on another or on what is drawn."""
    picture = str(sketch)
    wide, high = (float(n) for n in tree(picture).get("viewBox").split()[2:])
    for text, (left, top, right, low), tall, _ in words(picture):
        assert left >= -0.05, text
        assert right <= wide + 0.05, text
        assert top >= -0.05, text
        assert low <= high + 0.05, text
        assert tall >= 2.49, text
    assert overlaps(picture) == []


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("case", CASES)
def test_all_words_are_inside_and_apart(case, system):
    drawn_well(replace(CASES[case], system=system))


@pytest.mark.parametrize("case", CASES)
def test_notes_stand_beside_the_drawing(case):
    """Above the caption, words with letters stand to the right of all wood."""
    drawing = loading_sketch(CASES[case])
    edge = max(item.region.bounds[2] for item in drawing.items if isinstance(item, Hatch))
    notes = [item for item in drawing.items if isinstance(item, Text) and not item.text.isdigit()]
    assert len(notes) >= 2
    assert all(item.at[0] > edge + 3.0 for item in notes)


@pytest.mark.parametrize(("front", "rear"), [(0.030, 0.040), (0.050, 0.020), (0.030, 0.100)])
def test_areas_of_a_band_pass_are_as_its_volumes(front, rear):
    """Read from the outlines: the wood's left edge to its right, floor to partition to top."""
    sketch = replace(CASES["band-pass-4"], front_volume=front, volume=rear)
    ys = sorted({round(float(y), 3) for ring in paths(str(sketch), "outline") for _, y in ring
                 if len(ring) > 5})
    high = ys[-1] - ys[0] - 3 * 2.4
    from_top = [y for y in ys if abs(y - ys[0] - 2.4 - high * front / (front + rear)) < 0.01]
    assert from_top, "the partition is not where the volumes put it"


def test_a_very_small_chamber_says_that_it_is_drawn_larger():
    sketch = CASES["band-pass-4"]
    assert "drawn larger" not in read(sketch)
    assert "The smaller chamber is drawn larger" in read(replace(sketch, front_volume=0.002))


def test_a_line_s_widths_are_as_its_areas():
    from shapely import LineString

    sketch = CASES["transmission-line"]
    wood = next(item.region for item in loading_sketch(sketch).items if isinstance(item, Hatch))
    left, _, right, high = wood.bounds
    cut = LineString([(left, high - 2.5), (right, high - 2.5)]).difference(wood.buffer(1e-9))
    gaps = sorted(piece.length for piece in cut.geoms)
    assert gaps[0] / gaps[1] == pytest.approx(180.0 / 310.0, rel=0.01)


def test_a_horn_widens_by_its_profile():
    """Half way an exponential horn's radius is the geometric mean, a conical one's the mean."""
    for profile, mean in (("exponential", math.sqrt(4.0)), ("conical", (1.0 + 4.0) / 2.0)):
        sketch = CASES["front-horn"]
        sketch = replace(sketch, duct=replace(sketch.duct, profile=profile))
        wood = next(i.region for i in loading_sketch(sketch).items if isinstance(i, Hatch))
        edge = np.asarray(wood.geoms[-1].exterior.coords if hasattr(wood, "geoms")
                          else wood.exterior.coords)
        left, low, _, high = wood.bounds
        middle = (low + high) / 2.0
        upper = edge[edge[:, 1] > middle]
        # the horn's inner edge has its 41 stations; the mouth is its first and widest
        stations = upper[np.argsort(upper[:, 0])]
        mouth = min(y - middle for x, y in stations if x < left + 1e-6)
        half = [y - middle for x, y in stations if abs(x - left - 21.0) < 0.5]
        assert min(half) / mouth == pytest.approx(mean / 4.0, rel=0.01)


@pytest.mark.parametrize("case", CASES)
def test_what_radiates_has_arrows_in_its_part_s_colour(case):
    """A radiating cone or port has arrows; a cone that works inside a box has none."""
    picture = str(CASES[case])
    arrows = {"low": 0, "port": 0}
    for group in tree(picture).iter(f"{SVG}g"):
        for part in arrows:
            if group.get("fill") == colour(part):
                arrows[part] += sum(node.get("d").count("L") == 6 for node in group)
    inside = case in ("band-pass-4", "band-pass-6", "front-horn")
    assert (arrows["low"] == 0) is inside
    assert (arrows["port"] == 0) is (case in ("closed", "open-baffle"))


def test_fill_stands_at_the_back_and_takes_its_share():
    """Its waves start where the air behind them, cone and wall apart, holds the share."""
    def waves(share):
        picture = str(replace(CASES["closed"], fill_share=share))
        return [ring for ring in paths(picture, "hatch") if len(ring) > 6]

    whole, part = (np.concatenate(waves(share)) for share in (1.0, 0.4))
    assert part[:, 0].max() == pytest.approx(whole[:, 0].max(), abs=0.3)
    # the box is drawn as 2300 mm², 54 mm high; a driver of across 2 r takes a trapezium of it,
    # 0.84 r deep from the front's face and half as wide at its back, less the wall's 2.4 mm
    r = math.sqrt(0.0531 / math.pi) * math.sqrt(2300.0) / 0.060 ** (1.0 / 3.0)
    deep = 0.84 * r
    taken = (deep - 2.4) * (2.0 * r * (1.0 - 0.5 * 2.4 / deep) + r) / 2.0
    margin = 0.7  # the waves keep it from every edge
    assert np.ptp(part[:, 0]) + 2.0 * margin == pytest.approx(
        0.4 * (2300.0 - taken) / 54.0, abs=0.05)
    assert not [ring for ring in paths(str(CASES["closed"]), "hatch") if len(ring) > 6]


@pytest.mark.parametrize("share", [0.1, 0.35, 0.8, 1.0])
def test_the_share_of_a_region_is_the_part_at_its_right(share):
    from shapely import box

    cross = box(0, 0, 10, 4).union(box(4, -4, 6, 8))
    found = share_of(cross, share)
    assert found.area == pytest.approx(share * cross.area, rel=1e-6)
    assert found.bounds[2] == 10.0


@pytest.mark.parametrize(("case", "part"), [
    ("closed", "volume"), ("vented", "port"), ("passive-radiator", "passive"),
    ("band-pass-4", "front"), ("band-pass-6", "port"), ("transmission-line", "duct"),
    ("front-horn", "duct"), ("open-baffle", "baffle"),
])
def test_a_loading_without_its_part_is_refused(case, part):
    with pytest.raises(ValueError, match=f"needs its {part}"):
        loading_sketch(replace(CASES[case], **{part: None}))


def test_a_port_with_a_bend_turns_up():
    def tallest(sketch):
        groups = [g for g in tree(str(sketch)).iter(f"{SVG}g") if g.get("fill") == colour("port")]
        return max(float(np.ptp(ring[:, 1])) for g in groups for node in g for ring in rings(node))

    bent = replace(CASES["vented"], port=replace(ROUND, bends=1))
    assert tallest(CASES["vented"]) < 3.0  # its walls' thickness, or an arrow's head
    assert tallest(bent) > 12.0
    drawn_well(bent)


def some(random_, loading):
    """Any figures at all, from a tweeter's chamber to a wall of horns."""
    def between(low, high):
        return low * (high / low) ** random_.random()

    def port():
        width = random_.choice([None, between(0.05, 1.0)])
        return SketchPort(between(0.01, 0.4), between(0.01, 2.0), between(15, 150),
                          random_.randint(1, 5), width, width is not None, random_.randint(0, 2))

    start = between(0.001, 0.3)
    wide, high = between(0.1, 3.0), between(0.1, 3.0)
    return LoadingSketch(
        loading, between(0.002, 0.2), between(10, 200), "resonance", random_.randint(1, 5),
        between(0.001, 1.0), port() if loading in ("vented", "band-pass-6") else None,
        between(0.001, 1.0), port() if loading.startswith("band") else None,
        SketchPassive(between(0.002, 0.2), between(0.01, 3.0), random_.randint(1, 4))
        if loading == "passive-radiator" else None,
        SketchDuct(between(0.2, 6.0), start, start * between(1.01, 200.0), random_.uniform(0, 0.9),
                   between(1e-4, 0.03), random_.choice(["exponential", "conical"])),
        SketchBaffle(wide, high, wide * random_.uniform(0.01, 0.99),
                     high * random_.uniform(0.01, 0.99), between(0.05, 1.0)),
        random_.choice([None, random_.uniform(0.01, 1.0)]),
        system=random_.choice(["metric", "inch"]))


@pytest.mark.parametrize("loading", TITLES)
def test_any_figures_can_be_drawn(loading):
    random_ = random.Random(loading)
    for _ in range(5):
        drawn_well(some(random_, loading))
