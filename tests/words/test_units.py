"""Quantities are read as makers write them, and shown and written so that they are read back."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from speakerwright.words.units import (
    BARE,
    KINDS,
    MINUS,
    THIN,
    UnitError,
    parse,
    quoted,
    show,
    split,
    to_unit,
    with_article,
    write_like,
)

WRITTEN = [kind for kind in KINDS if kind not in BARE]


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("305 mm", "length", 0.305), ("305mm", "length", 0.305), (" 305  mm ", "length", 0.305),
        ("305\u202fmm", "length", 0.305), ("305\u00a0mm", "length", 0.305),
        ("12 in", "length", 12 * 0.0254), ("11 7/8 in", "length", 11.875 * 0.0254),
        ("11-7/8 in", "length", 11.875 * 0.0254), ("7/8 in", "length", 0.875 * 0.0254),
        ("11\u202f7/8\u202fin", "length", 11.875 * 0.0254),
        ("-1/2 in", "length", -0.0127), ("-1 1/2 in", "length", -1.5 * 0.0254),
        ("2 ft", "distance", 0.6096), ("1e3 mm", "length", 1.0), (".5 m", "length", 0.5),
        ("5. m", "length", 5.0), ("+5 m", "length", 5.0), ("5 µm", "length", 5e-6),
        ("531 cm^2", "area", 0.0531), ("531 cm²", "area", 0.0531),
        ("82 in^2", "area", 82 * 0.0254**2),
        ("92 L", "volume", 0.092), ("92 l", "volume", 0.092), ("1 ft^3", "volume", 0.3048**3),
        ("0.03 m³", "volume", 0.03), ("48 Hz", "frequency", 48.0), ("1.2 kHz", "frequency", 1200.0),
        ("4 h", "duration", 14400.0), ("8 ms", "short time", 0.008), ("2 lb", "mass", 0.90718474),
        ("50 g", "moving mass", 0.05), ("0.2 mm/N", "compliance", 2e-4),
        ("200 µm/N", "compliance", 2e-4), ("2.8 kg/s", "mechanical resistance", 2.8),
        ("2.8 N s/m", "mechanical resistance", 2.8), ("15.2 T m", "force factor", 15.2),
        ("15.2 T·m", "force factor", 15.2), ("15.2 N/A", "force factor", 15.2),
        ("8 ohm", "resistance", 8.0), ("8 Ω", "resistance", 8.0), ("4.7 kΩ", "resistance", 4700.0),
        ("0.45 mH", "inductance", 4.5e-4), ("330 uF", "capacitance", 3.3e-4),
        ("330 µF", "capacitance", 3.3e-4), ("90 V", "voltage", 90.0), ("250 mV", "voltage", 0.25),
        ("22 A", "current", 22.0), ("0.5 kW", "power", 500.0), ("17 m/s", "speed", 17.0),
        ("6.5 mm", "excursion", 0.0065), ("40 deg", "angle", 40.0), ("40°", "angle", 40.0),
        ("-40 deg", "angle", -40.0), ("\u221240 deg", "angle", -40.0),
        ("20 degC", "temperature", 20.0), ("20 °C", "temperature", 20.0),
        ("68 degF", "temperature", 20.0), ("293.15 K", "temperature", 20.0),
        ("101.325 kPa", "pressure", 101325.0), ("1 atm", "pressure", 101325.0),
        ("95 dB", "level", 95.0), ("-3 dB", "level", -3.0), ("50 %", "percent", 50.0),
        (0.38, "ratio", 0.38), (2, "count", 2.0), (139, "money", 139.0),
    ],
)
def test_what_makers_write_is_read(text, kind, value):
    assert parse(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_reads_its_own_example(kind):
    example = KINDS[kind].example
    value = parse(float(example) if kind in BARE else example, kind)
    assert value > 0
    assert write_like(value, kind, None if kind in BARE else example) == (
        pytest.approx(float(example)) if kind in BARE else example)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("12,5 mm", "length", "use a decimal point"), ("1,000 mm", "length", "decimal point"),
        ("-12,5 mm", "length", "decimal point"), ("305", "length", "no unit"),
        ("mm", "length", "not a number with a unit"), ("", "length", "not a number with a unit"),
        ("12 kg", "length", "'kg' does not measure this"),
        ("3 furrow", "length", "not a known unit"),
        ("3 dBA", "level", "'dBA' does not measure this"), ("3 rad", "angle", "'rad' does not"),
        ("1/0 in", "length", "divides by zero"), ("1e999 mm", "length", "not a finite length"),
        ("9" * 50 + "e400 mm", "length", "not a finite"), ("nan mm", "length", "not a number"),
        ("inf mm", "length", "not a number"), ("5 mm + 3 mm", "length", "not a known unit"),
        ("5 m^9^9^9", "length", "not a known unit"), ("5 m**9", "length", "not a known unit"),
        ("5 __import__('os')", "length", "not a known unit"), ("5 mm\x07", "length", "x07"),
        ("x" * 61, "length", "far too long"), ("9" * 3000 + " mm", "length", "far too long"),
        ("٣ mm", "length", "not a number"), ("1 234 mm", "length", "not a number"),
        ("0x10 mm", "length", "not a known unit"), ("1_000 mm", "length", "not a known unit"),
        (5, "length", "no unit"), (5.0, "volume", "no unit"), (math.inf, "ratio", "not a finite"),
        (math.nan, "ratio", "not a finite"), ("0.38", "ratio", "plain number"),
        (10**400, "ratio", "far too large"),
        pytest.param(16**9000, "ratio", "far too large", id="sixteen to 9000"),
        (10**400, "length", "no unit"),
    ],
)
def test_wrong_text_gives_one_clear_sentence(text, kind, words):
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    said = str(caught.value)
    assert words in said
    assert said.isprintable()
    assert len(said) < 220
    assert said.endswith(f"Write it like {KINDS[kind].example}." if kind in BARE
                         else f'Write it like "{KINDS[kind].example}".')


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_every_kind_is_shown_with_a_thin_space_and_a_true_minus(kind, system):
    for value in (1.0, -1.0, 0.0, -1e-12, 123.456):
        text = show(value, kind, system)
        assert "-" not in text
        shown = text.removeprefix(MINUS)
        assert shown[0].isdigit()
        assert text.startswith(MINUS) == (value < 0 and bool(re.search("[1-9]", text)))
        unit = KINDS[kind].unit if system == "metric" else KINDS[kind].imperial or KINDS[kind].unit
        if unit and unit != "deg":
            assert THIN in text
            assert " " not in text.rpartition(THIN)[2] or unit == "T m"
        if not unit:
            assert THIN not in text


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (0.305, "length", "metric", "305.0\u202fmm"), (0.305, "length", "inch", "12\u202fin"),
        (0.3016, "length", "inch", "11 7/8\u202fin"),
        (0.0254 / 32, "length", "inch", "1/32\u202fin"),
        (0.0254 / 65, "length", "inch", "0\u202fin"),
        (0.0254 * 0.51, "length", "inch", "1/2\u202fin"),
        (-0.0254 * 1.5, "length", "inch", "\u22121 1/2\u202fin"),
        (0.0254 * (1 - 1 / 100), "length", "inch", "1\u202fin"),
        (-3.0, "level", "metric", "\u22123.0\u202fdB"), (-0.04, "level", "metric", "0.0\u202fdB"),
        (0.092, "volume", "metric", "92.00\u202fL"), (0.092, "volume", "inch", "3.25\u202fft³"),
        (8.0, "resistance", "metric", "8.00\u202fΩ"), (40.0, "angle", "metric", "40°"),
        (-40.0, "angle", "metric", "\u221240°"), (20.0, "temperature", "metric", "20.0\u202f°C"),
        (0.38, "ratio", "metric", "0.38"), (-2.0, "count", "metric", "\u22122"),
        (2.0, "ratio", "metric", "2"), (1e-9, "ratio", "metric", "0"),
        (None, "length", "metric", "–"), (math.nan, "level", "metric", "–"),
        (math.inf, "level", "metric", "no limit"), (11.0, "distance", "inch", "36.09\u202fft"),
    ],
)
def test_a_value_as_a_reader_sees_it(value, kind, system, text):
    assert show(value, kind, system) == text


@given(st.floats(-100.0, 100.0))
def test_inches_are_shown_to_the_nearest_32nd(inches):
    text = show(inches * 0.0254, "length", "inch")
    number = text.removesuffix(f"{THIN}in").removeprefix(MINUS)
    parts = [Fraction(part) for part in number.split(" ")]
    assert all(part.denominator in (1, 2, 4, 8, 16, 32) for part in parts)
    assert abs(float(sum(parts)) - abs(inches)) <= 1 / 64 + 1e-9


@given(st.floats(-1e3, 1e3), st.sampled_from(WRITTEN))
def test_what_is_shown_can_be_typed_in_again(value, kind):
    text = show(value, kind)
    number = to_unit(value, kind, KINDS[kind].unit)
    half = 0.5 * 10.0 ** -KINDS[kind].digits
    read = to_unit(parse(text, kind), kind, KINDS[kind].unit)
    assert abs(read - number) <= half * 1.0001 + 1e-9 * abs(number)


SAMPLES = {
    "length": ["305 mm", "0.3 m", "30.5 cm", "12 in", "11 7/8 in", "3 1/64 in", "1 ft", "3/4 in"],
    "distance": ["11 m", "36 ft", "36 1/2 ft"], "area": ["531 cm^2", "80 in^2", "0.05 m²"],
    "volume": ["92 L", "3 ft^3", "0.09 m^3", "1 1/2 ft^3"], "mass": ["6.8 kg", "15 lb", "900 g"],
    "temperature": ["20 degC", "68 degF", "293 K"], "level": ["95 dB", "-3 dB"],
    "resistance": ["8 ohm", "8 Ω", "0.008 kohm"], "capacitance": ["330 uF", "0.33 mF", "330 µF"],
    "force factor": ["15.2 T m", "15.2 N/A"], "angle": ["40 deg", "40°"],
}


@settings(max_examples=400)
@given(st.data(), st.sampled_from(WRITTEN), st.floats(1e-6, 1e6), st.booleans())
def test_what_is_written_is_read_back_and_keeps_its_unit(data, kind, value, negative):
    sample = data.draw(st.sampled_from(SAMPLES.get(kind, [KINDS[kind].example])))
    value = -value if negative else value
    text = write_like(value, kind, sample)
    slack = 1e-12 * (300.0 if kind == "temperature" else 0.0)  # near zero the offset's digits count
    assert parse(text, kind) == pytest.approx(value, rel=1e-12, abs=slack)
    assert split(text)[1] == split(sample)[1]
    assert text.isascii() or not sample.isascii()  # a file gets no typographic minus


@given(st.integers(1, 64 * 200), st.sampled_from([1, 2, 4, 8, 16, 32, 64]),
       st.sampled_from(["12 in", "11 7/8 in"]), st.booleans())
def test_fractions_stay_fractions(over, under, sample, negative):
    inches = Fraction(over, under) * (-1 if negative else 1)
    text = write_like(float(inches) * 0.0254, "length", sample)
    if sample == "11 7/8 in" and inches.denominator > 1:
        assert split(text)[2] == "fraction"
    assert parse(text, "length") == pytest.approx(float(inches) * 0.0254, rel=1e-12)
    if split(sample)[2] == "decimal":
        assert split(text)[2] == "decimal"


@given(st.floats(0.1, 100.0))
def test_what_is_no_64th_becomes_a_decimal(inches):
    assume(abs(inches * 64 - round(inches * 64)) > 1e-3)
    assume(all(abs(inches * n - round(inches * n)) > 1e-6 for n in range(1, 65)))
    text = write_like(inches * 0.0254, "length", "11 7/8 in")
    assert split(text)[2] == "decimal"
    assert text.endswith(" in")


@pytest.mark.parametrize(
    ("value", "kind", "sample", "text"),
    [(0.3, "length", "305 mm", "300 mm"), (0.3, "length", None, "300 mm"),
     (0.0921, "volume", "92 L", "92.1 L"), (5e5, "power", "500 W", "500000 W"),
     (-5e5, "power", "500 W", "-500000 W"), (0.5, "length", "1 um", "500000 um"),
     (2.0, "ratio", None, 2), (0.5, "ratio", None, 0.5), (3.0, "count", None, 3),
     (0.0, "length", "305 mm", "0 mm"), (2 / 3, "frequency", "48 Hz", "0.666666666667 Hz")],
)
def test_what_a_file_gets(value, kind, sample, text):
    written = write_like(value, kind, sample)
    assert (written, type(written)) == (text, type(text))


def test_words_around_a_quantity():
    assert with_article("area") == "an area"
    assert with_article("length") == "a length"
    assert quoted(True) == "true"
    assert quoted("x" * 100) == "'" + "x" * 56 + "..."
    assert quoted(16**5000) == "a number of very many digits"
    assert quoted("a\x1b[31m") == r"'a\x1b[31m'"
