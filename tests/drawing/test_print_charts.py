"""Charts on paper: places read back from the SVG, words that keep clear of each other."""

from __future__ import annotations

import re
import warnings
import xml.etree.ElementTree as ElementTree

import font_source_sans_pro
import matplotlib as mpl
import numpy as np
import pytest
from fontTools.ttLib import TTFont

from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Mark,
    Region,
    frequency_axis,
    level_axis,
)
from speakerwright.drawing.labels import Placer, fits_in_band, spread
from speakerwright.drawing.lettering import shortened, text_width_mm, wrapped
from speakerwright.drawing.palette import LINES, colour, ground
from speakerwright.drawing.print_charts import svg
from speakerwright.words.evidence import Evidence

POINT_MM = 25.4 / 72.0
F = np.geomspace(10.0, 20000.0, 300)
NASTY = '#panic() $x$ \\frac <tag> & "q" \U0001f600 \x00\x07 \ud800'


def response(*curves, low=20, high=20000, span=(50, 100), **more):
    return Chart("k", "Response", frequency_axis(low, high), level_axis(*span), curves, **more)


def words(text):
    """Every word of a picture with its anchor in mm from the lower left corner, and its style."""
    root = ElementTree.fromstring(text)
    height = float(root.get("viewBox").split()[3])
    found = []
    for node in root.iter("{http://www.w3.org/2000/svg}text"):
        if node.get("x") is not None:
            x, y = float(node.get("x")), float(node.get("y"))
        else:
            x, y = map(float, re.search(r"translate\(([\d.-]+) ([\d.-]+)", node.get("transform"))
                       .groups())
        found.append((node.text, x * POINT_MM, (height - y) * POINT_MM, node.get("style")))
    return found


def place(text, word):
    (found,) = [(x, y) for seen, x, y, _ in words(text) if seen == word]
    return np.array(found)


def strokes(text, tone):
    return [style for style in re.findall(r'style="([^"]*)"', text)
            if f"stroke: {tone}" in style and "fill: none" in style]


@pytest.mark.parametrize(
    ("low", "high", "span", "height_mm"),
    [(20, 20000, (50, 100), None), (10, 1000, (60, 100), None), (20, 20000, (50, 110), 50.0)],
)
def test_fifty_decibels_are_as_long_as_a_decade(low, high, span, height_mm):
    """The ratio of IEC 60263 (from memory), read from the labels of the printed axes."""
    text = svg(response(low=low, high=high, span=span), height_mm=height_mm)
    decade_mm = (place(text, "2k") - place(text, "200"))[0] if high > 1000 else \
        (place(text, "500") - place(text, "50"))[0]
    level_mm = (place(text, "90") - place(text, "70"))[1]
    assert level_mm / 20.0 * 50.0 == pytest.approx(decade_mm, rel=2e-4)


@pytest.mark.parametrize("width_mm", [80.0, 165.0])
def test_the_picture_has_the_asked_width(width_mm):
    root = ElementTree.fromstring(svg(response(), width_mm))
    assert float(root.get("width").removesuffix("pt")) * POINT_MM == pytest.approx(width_mm)


def test_the_picture_has_the_asked_height_where_no_ratio_rules():
    chart = Chart("k", "Impedance", frequency_axis(), Axis("Impedance", "Ω", 0, 50), ())
    root = ElementTree.fromstring(svg(chart, height_mm=70.0))
    assert float(root.get("height").removesuffix("pt")) * POINT_MM == pytest.approx(70.0)


@pytest.mark.parametrize(("width_mm", "height_mm"), [(59.0, None), (165.0, 34.0)])
def test_a_picture_too_small_to_read_is_refused(width_mm, height_mm):
    with pytest.raises(ValueError, match="too small"):
        svg(response(), width_mm, height_mm)


def test_words_are_text_in_our_face_of_eight_points_or_more():
    text = svg(response(Curve("Low", "low", "measured", F, 0 * F + 80)))
    assert {"Response", "Level, dB", "Frequency, Hz", "Low", "20k"} <= {w[0] for w in words(text)}
    for _, _, _, style in words(text):
        assert "'Source Sans Pro'" in style
        assert float(re.search(r"font-size: ([\d.]+)px", style)[1]) >= 8.0


def test_the_caption_is_left_to_the_page():
    assert "2.83 V" not in svg(response(caption="2.83 V, 1 m, half space"))


@pytest.mark.parametrize("kind", list(Evidence))
def test_the_line_says_how_sure_and_the_colour_which_part(kind):
    (style,) = strokes(svg(response(Curve("", "high", kind, F, 0 * F + 80))), colour("high"))
    dashes = LINES[kind]
    width = float(re.search(r"stroke-width: ([\d.]+)", style)[1])
    wanted = [round(width * part, 3) for part in dashes]
    seen = re.search(r"stroke-dasharray: ([\d., ]+)", style)
    assert ([float(part) for part in seen[1].split(",")] if seen else []) == pytest.approx(wanted)


def test_a_curve_is_greyed_outside_its_valid_range():
    def count(valid):
        text = svg(response(Curve("", "low", "measured", F, 0 * F + 80, valid=valid)))
        return len(strokes(text, colour("low"))), len(strokes(text, ground("outside")))

    assert count(None) == (1, 0)
    assert count((100.0, 1000.0)) == (1, 2)
    assert count((1.0, 1000.0)) == (1, 1)


def test_a_greyed_curve_is_cut_where_the_range_ends():
    curve = Curve("", "low", "measured", [20.0, 20000.0], [80.0, 80.0], valid=(200.0, 2000.0))
    text = svg(response(curve))
    (found,) = re.findall(rf'd="M ([\d.]+) [\d.]+ \nL ([\d.]+) [\d.]+ \n" [^>]*stroke: '
                          rf'{colour("low")}', text)
    ends = [float(end) * POINT_MM for end in found]
    assert ends == pytest.approx([place(text, "200")[0], place(text, "2k")[0]], abs=0.01)


def test_names_at_the_ends_do_not_meet():
    levels = (80.0, 80.4, 81.0, 90.0, 99.9, 99.8)
    curves = [Curve(f"Curve {level}", "mid", "measured", F, 0 * F + level) for level in levels]
    text = svg(response(*curves))
    ends = sorted(y for word, _, y, _ in words(text) if word.startswith("Curve"))
    assert len(ends) == len(levels)
    assert np.diff(ends).min() >= 3.5 - 1e-3


def test_words_inside_the_field_do_not_meet():
    curves = [Curve(f"Driver {n}", "low", "measured", F, 110 - 24 * np.log2(F / (300 * n)))
              for n in range(1, 7)]
    marks = [Mark(100.0, None, "Tuning"), Mark(105.0, None, "Second tuning"), Mark(100, 75, "Dot")]
    region = Region([20.0, 60.0], -np.inf, np.inf, "Below the lowest note")
    text = svg(response(*curves, marks=marks, regions=[region]))
    boxes = [(x, y, x + text_width_mm(word), y + 2.6) for word, x, y, style in words(text)
             if re.match("Driver|Tuning|Second|Dot|Below|the|lowest", word)]
    assert len(boxes) >= 10
    for index, (left, low, right, high) in enumerate(boxes):
        for other in boxes[:index]:
            apart = other[0] >= right or other[2] <= left or other[1] >= high or other[3] <= low
            assert apart, (boxes[index], other)


def test_a_reason_is_written_inside_its_region():
    region = Region([200.0, 2000.0], 60.0, 80.0, "Too loud here")
    text = svg(response(regions=[region]))
    x, y = place(text, "Too loud here")
    assert place(text, "200")[0] < x
    assert x + text_width_mm("Too loud here") < place(text, "2k")[0]
    assert place(text, "60")[1] < y < place(text, "80")[1]


def test_a_right_axis_has_its_own_labels():
    curve = Curve("Phase", "port", "simulated", F, 0 * F, axis="right")
    chart = Chart("k", "", frequency_axis(), Axis("Impedance", "Ω", 0, 40), (curve,),
                  right=Axis("Phase", "°", -90, 90, step=45))
    text = svg(chart)
    assert {"−90", "−45", "45", "90", "Phase, °", "Phase"} <= {word[0] for word in words(text)}
    assert place(text, "90")[1] == pytest.approx(place(text, "40")[1], abs=1e-3)


def test_nothing_odd_stops_a_chart():
    nan = np.full(4, np.nan)
    curves = (
        Curve(NASTY, "sum", "measured", nan, nan), Curve("none", "low", "datasheet", [], []),
        Curve("x" * 10000, "low", "datasheet", [100], [70]),
        Curve("inf", "mid", "simulated", [0, 100, 1e9], [np.inf, -np.inf, 1e308], valid=(9, 1)),
    )
    regions = (Region([], 0, 1, NASTY), Region([20, 100], np.nan, 60, NASTY),
               Region([20], 0, 60, "x" * 999), Region([9, 90], 55, 60, "x" * 999))
    marks = (Mark(np.nan, None, "a"), Mark(100, np.inf, "b"), Mark(100, 70, NASTY * 9))
    text = svg(response(*curves, regions=regions, marks=marks))
    right_mm = max(x + text_width_mm(word) for word, x, _, style in words(text)
                   if "middle" not in style and "end" not in style)
    assert right_mm <= 165.0
    assert "#panic() $x$ \\frac &lt;tag&gt; &amp;" in text


def test_the_picture_and_the_library_are_left_alone():
    chart = response(Curve("Low", "low", "measured", F, 0 * F + 80))
    before = dict(mpl.rcParams)
    first = svg(chart)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        mpl.rcParams.update({"lines.linewidth": 9.0, "svg.fonttype": "path", "font.size": 30.0})
        other = dict(mpl.rcParams)
        second = svg(chart)
        assert dict(mpl.rcParams) == other
        mpl.rcParams.update(before)
    assert first == second
    assert not re.search(r"dc:date|dc:creator", first)


def test_the_measure_of_words_agrees_with_the_advance_widths_of_the_font():
    face = TTFont(font_source_sans_pro.SourceSansPro)
    widths, letters = face["hmtx"], face.getBestCmap()
    word = "Hornloaded sum 1234"
    advance = sum(widths[letters[ord(letter)]][0] for letter in word) / face["head"].unitsPerEm
    assert text_width_mm(word) == pytest.approx(advance * 8.0 * POINT_MM, rel=0.01)


def test_words_are_shortened_and_wrapped_to_fit():
    assert shortened("Port", 20.0) == "Port"
    cut = shortened("A very long name of a curve", 20.0)
    assert cut.endswith("…")
    assert 15.0 < text_width_mm(cut) <= 20.0
    assert wrapped("Below the lowest note", 2) == ["Below the", "lowest note"]
    assert wrapped("", 3) == [""]


def test_ends_are_spread_no_further_than_needed():
    assert spread([10.0, 20.0], 3.5, 0.0, 50.0) == [10.0, 20.0]
    assert spread([10.0, 11.0, 30.0], 3.5, 0.0, 50.0) == [10.0, 13.5, 30.0]
    assert spread([49.0, 50.0], 3.5, 0.0, 50.0) == [46.5, 50.0]
    assert spread([], 3.5, 0.0, 50.0) == []


def test_a_word_moves_off_a_line():
    placer = Placer(0.0, 100.0, 0.0, 50.0)
    placer.keep_clear(np.array([0.0, 100.0]), np.array([25.0, 25.0]))
    assert placer.best([(10.0, 24.0), (10.0, 30.0)], 20.0, 3.5) == (10.0, 30.0)
    assert placer.best([(10.0, 30.0), (10.0, 40.0)], 20.0, 3.5) == (10.0, 40.0)
    assert placer.best([(95.0, 10.0)], 20.0, 3.5) == pytest.approx((79.4, 10.0))


def test_room_in_a_band():
    x = np.array([0.0, 50.0, 100.0])
    spots, roomy = fits_in_band(x, np.zeros(3), np.array([2.0, 2.0, 30.0]), 10.0, 3.5)
    assert roomy
    assert spots[0][0] == pytest.approx(89.2)
    assert not fits_in_band(x, np.zeros(3), np.full(3, 3.0), 10.0, 3.5)[1]
    assert not fits_in_band(x, np.zeros(3), np.full(3, 9.0), 99.0, 3.5)[1]
