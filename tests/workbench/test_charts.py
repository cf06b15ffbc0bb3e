"""The live chart: what is sent, what is painted, what the cursor says."""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from speakerwright.drawing import palette
from speakerwright.drawing.charts import Axis, Chart, Region, frequency_axis, level_axis, ticks
from speakerwright.workbench.charts import described, packed

from . import chart_data
from .chart_browser import Watched, browser, served

TONE = """([key, x, y]) => {
  const plot = __charts.get(key);
  const { field } = plot.plan;
  const across = field.left + Math.log(x / plot.plan.x.low)
    / Math.log(plot.plan.x.high / plot.plan.x.low) * (field.right - field.left);
  const up = field.bottom - (y - plot.chart.y.low) / (plot.chart.y.high - plot.chart.y.low)
    * (field.bottom - field.top);
  return [...plot.base.getContext("2d").getImageData(Math.floor(across), Math.floor(up), 1, 1)
    .data.slice(0, 3)];
}"""


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, chrome: Any) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("charts")) as found:
        yield found


@pytest.fixture
def watched(chrome: Any, address: str) -> Iterator[Watched]:
    context = chrome.new_context(viewport={"width": 900, "height": 1300})
    context.grant_permissions(["clipboard-read", "clipboard-write"])
    seen = Watched(context.new_page(), address)
    seen.page.goto(f"{address}/charts")
    _painted(seen, "impedance")
    yield seen
    context.close()
    assert seen.complaints == []
    assert seen.strangers() == []


def _painted(seen: Watched, key: str, revision: int = 1) -> None:
    seen.page.wait_for_function(
        "([key, revision]) => (window.__charts?.get(key)?.paintedRevision ?? 0) >= revision",
        arg=[key, revision], timeout=15000)
    seen.page.evaluate("document.fonts.ready")
    seen.page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")


def _rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[k:k + 2], 16) for k in (1, 3, 5))


def _near(found: list[int], colour: str, within: int = 12) -> bool:
    return max(abs(a - b) for a, b in zip(found, _rgb(colour), strict=True)) <= within


def _tones(seen: Watched, key: str, x: float, low: float, high: float) -> list[list[int]]:
    """Colours up a line at x, in steps of less than a pixel."""
    return [seen.page.evaluate(TONE, [key, x, y]) for y in np.arange(low, high, 0.12)]


def _has(seen: Watched, key: str, x: float, y: float, colour: str) -> bool:
    return any(_near(tone, colour) for tone in _tones(seen, key, x, y - 0.6, y + 0.6))


def _hover(seen: Watched, key: str, x: float) -> None:
    place = seen.page.evaluate("""([key, x]) => {
      const plot = __charts.get(key); const { field } = plot.plan;
      const at = Math.log(x / plot.plan.x.low) / Math.log(plot.plan.x.high / plot.plan.x.low);
      const box = plot.base.getBoundingClientRect();
      return [box.left + field.left + at * (field.right - field.left), box.top + field.top + 40];
    }""", [key, x])
    seen.page.mouse.move(*place)
    seen.page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")


def _unpacked(header: dict[str, Any], block: str) -> np.ndarray[Any, Any]:
    json.dumps(header, allow_nan=False)
    return np.frombuffer(base64.b64decode(block), dtype="<f4")


# ---- what is sent


def test_a_chart_is_sent_once_and_unharmed() -> None:
    chart = chart_data.response()
    header, block = packed(chart)
    numbers = _unpacked(header, block)
    for sent, curve in zip(header["curves"], chart.curves, strict=True):
        for (begin, length), given in ((sent["x"], curve.x), (sent["y"], curve.y)):
            np.testing.assert_allclose(numbers[begin:begin + length], given, rtol=6e-8)
    assert len({curve["x"] for curve in header["curves"]}) == 1
    # one grid, three curves, two edges of a band, a region of 39 places with two edges
    places = int(np.count_nonzero(chart_data.FREQUENCY < 60.0))
    assert numbers.size == 6 * 241 + 3 * places
    assert header["curves"][1]["valid"] == [20.0, 2000.0]
    assert header["ratio"] == pytest.approx(50.0 / 50.0 / 3.0)


def test_what_has_no_number_is_sent_too() -> None:
    x = np.array([20.0, 200.0])
    chart = Chart("k", "t", frequency_axis(), level_axis(0.0, 50.0), (),
                  regions=(Region(x, -np.inf, np.array([np.nan, 1e300]), "limit"),))
    numbers = _unpacked(*packed(chart))
    region = packed(chart)[0]["regions"][0]
    assert np.all(numbers[slice(region["low"][0], sum(region["low"]))] < -3e38)
    high = numbers[slice(region["high"][0], sum(region["high"]))]
    assert math.isnan(high[0])
    assert high[1] > 3e38


def test_a_chart_in_words() -> None:
    words = described(chart_data.response())
    assert words.startswith("Response: Level, dB over Frequency, Hz.")
    assert "low, simulated: from 84 dB at 20 Hz to 72 dB at 2e+04 Hz." in words
    assert "Limit: beyond linear excursion." in words
    assert "crossing at 1e+03 Hz." in words


# ---- in the browser


def test_divisions_are_those_of_paper(watched: Watched) -> None:
    axes = [frequency_axis(), frequency_axis(15.0, 500.0), frequency_axis(80.0, 125.0),
            frequency_axis(1.0, 1e6), frequency_axis(900.0, 2200.0), level_axis(50.0, 100.0),
            level_axis(-7.0, 13.0), Axis("a", "mm", 0.0, 0.0031), Axis("a", "mm", -3e5, 4e6),
            Axis("a", "s", 1e-7, 3e-7, "log"), Axis("a", "V", 0.0, 7.0, "linear", 0.25)]
    cases = [(axis, most) for axis in axes for most in (3, 6, 12)]
    found = watched.page.evaluate("""async (cases) => {
      const { ticks } = await import("speakerwright-plot/ticks.js");
      return cases.map(([axis, most]) => ticks(axis, most));
    }""", [({"low": axis.low, "high": axis.high, "scale": axis.scale, "step": axis.step}, most)
           for axis, most in cases])
    for (axis, most), drawn in zip(cases, found, strict=True):
        wanted = ticks(axis, most)
        assert tuple(drawn["labels"]) == wanted.labels, (axis, most)
        np.testing.assert_allclose(drawn["major"], wanted.major, rtol=1e-12, atol=1e-12)
        np.testing.assert_allclose(drawn["minor"], wanted.minor, rtol=1e-12)


def test_colours_stand_where_the_curves_are(watched: Watched) -> None:
    ground = palette.ground
    assert _has(watched, "response", 500.0, 90.0, palette.colour("sum"))
    low_at = 84.0 - 4.0 * math.log10(500.0 / 20.0)
    assert any(_has(watched, "response", x, 84.0 - 4.0 * math.log10(x / 20.0),
                    palette.colour("low")) for x in (480.0, 500.0, 520.0, 540.0)), low_at
    beyond = [(x, 84.0 - 4.0 * math.log10(x / 20.0)) for x in (4000.0, 4200.0, 4400.0, 4600.0)]
    assert any(_has(watched, "response", x, y, ground("outside")) for x, y in beyond)
    assert not any(_has(watched, "response", x, y, palette.colour("low")) for x, y in beyond)
    # the region is tinted with 13 % of the limit's colour, the empty field is paper
    tint = [round(255 + 0.13 * (part - 255)) for part in _rgb(palette.colour("limit"))]
    assert any(max(abs(a - b) for a, b in zip(tone, tint, strict=True)) <= 3
               for tone in _tones(watched, "response", 24.0, 50.7, 56.5))
    assert _near(watched.page.evaluate(TONE, ["response", 340.0, 96.3]), ground("paper"), 0)
    # the band: 15 % of the sum's colour, from -1.5 to +1.5 dB
    assert _near(watched.page.evaluate(TONE, ["response", 340.0, 91.1]), "#dddddd", 3)
    assert _near(watched.page.evaluate(TONE, ["response", 340.0, 91.9]), ground("paper"), 0)


def test_the_line_says_how_sure(watched: Watched) -> None:
    ends = {"sum": (90.0, 0.0), "low": (84.0, -4.0), "high": (61.0, 4.0)}
    inked = {}
    for part, (start, slope) in ends.items():
        inked[part] = watched.page.evaluate("""([start, slope, tone]) => {
          const plot = __charts.get("response"); const { field, x } = plot.plan;
          const ctx = plot.base.getContext("2d"); let found = 0; let all = 0;
          for (let px = field.left + 150; px < field.left + 250; px++) {
            const at = x.low * (x.high / x.low) ** ((px + 0.5 - field.left)
              / (field.right - field.left));
            const y = start + slope * Math.log10(at / 20);
            const py = field.bottom - (y - 50) / 50 * (field.bottom - field.top);
            let near = 1e9;
            for (let d = -2; d <= 1; d++) {
              const p = ctx.getImageData(px, Math.floor(py) + d, 1, 1).data;
              near = Math.min(near, Math.max(...tone.map((t, k) => Math.abs(t - p[k]))));
            }
            all += 1; if (near < 60) found += 1;
          }
          return found / all;
        }""", [start, slope, list(_rgb(palette.colour(part)))])
    assert inked["sum"] == 1.0
    assert 0.6 < inked["low"] < 0.85  # dashes of 5 and gaps of 2 line widths
    assert 0.1 < inked["high"] < 0.6  # dots of 1 and gaps of 1.6


def test_the_cursor_reads_the_data_in_every_chart_of_the_axis(watched: Watched) -> None:
    x = float(chart_data.FREQUENCY[120])
    watched.page.evaluate("(x) => __charts.get('response').setCursor(x)", x)
    watched.page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
    rows = watched.page.evaluate("(x) => __charts.get('response').readings(x)", x)
    for row, curve in zip(rows, chart_data.response().curves, strict=True):
        assert row["value"] == pytest.approx(curve.y[120], abs=1e-5)
    boxes = watched.page.locator(".sw-read:visible")
    assert boxes.count() == 2  # the chart over another axis has none
    told = boxes.first.inner_text()
    assert "632\u2009Hz" in told
    assert "90.0\u2009dB (88.5 to 91.5)" in told
    assert "78.0\u2009dB" in told
    _hover(watched, "crowded", 5000.0)
    at = watched.page.evaluate("__charts.get('response').cursor")
    assert at == pytest.approx(5000.0, rel=0.01)
    rows = watched.page.evaluate("(x) => __charts.get('response').readings(x)", at)
    assert rows[1]["value"] == pytest.approx(84.0 - 4.0 * math.log10(at / 20.0), abs=2e-5)
    between = math.sqrt(chart_data.FREQUENCY[120] * chart_data.FREQUENCY[121])
    rows = watched.page.evaluate("(x) => __charts.get('response').readings(x)", between)
    assert rows[1]["value"] == pytest.approx(84.0 - 4.0 * math.log10(between / 20.0), abs=2e-5)
    assert "outside its range" in boxes.first.inner_text()
    watched.page.mouse.move(5, 5)
    boxes.first.wait_for(state="hidden")


def test_keys_move_hide_and_zoom(watched: Watched) -> None:
    page = watched.page
    page.locator("canvas.sw-base").first.focus()
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    at = page.evaluate("__charts.get('response').cursor")
    assert at == pytest.approx(20.0 * 1000.0 ** 0.011, rel=1e-9)
    page.wait_for_function("document.querySelector('.sw-spoken').textContent.includes('low 83.9')")
    page.keyboard.press("Escape")
    assert page.evaluate("__charts.get('response').cursor") is None
    page.keyboard.press("+")
    low, high = page.evaluate("__charts.get('response').view")
    assert math.log(high / low) == pytest.approx(0.8 * math.log(1000.0), rel=1e-6)
    assert page.evaluate("__charts.get('crowded').view") == [low, high]
    assert page.evaluate("__charts.get('impedance').view") is None
    page.get_by_role("button", name="Whole axis").first.wait_for()
    page.keyboard.press("0")
    assert page.evaluate("__charts.get('response').view") is None


def test_pointer_and_wheel_zoom(watched: Watched) -> None:
    page = watched.page
    places = page.evaluate("""() => { const p = __charts.get("response"); const f = p.plan.field;
      const b = p.base.getBoundingClientRect();
      return [b.left + f.left + 0.25 * (f.right - f.left), b.top + f.top + 50,
              b.left + f.left + 0.5 * (f.right - f.left)]; }""")
    page.mouse.move(places[0], places[1])
    page.mouse.wheel(0, -100)
    assert page.evaluate("__charts.get('response').view") is None  # the page may scroll
    page.mouse.move(places[0], places[1])
    page.mouse.down()
    page.mouse.move(places[2], places[1], steps=3)
    page.mouse.up()
    low, high = page.evaluate("__charts.get('response').view")
    assert low == pytest.approx(20.0 * 1000.0 ** 0.25, rel=0.02)
    assert high == pytest.approx(20.0 * 1000.0 ** 0.5, rel=0.02)
    page.locator("canvas.sw-base").first.focus()
    page.mouse.move(places[0] + 30, places[1])
    page.mouse.wheel(0, -100)
    page.wait_for_function("(span) => { const v = __charts.get('response').view;"
                           " return v && v[1] / v[0] < span; }", arg=0.95 * high / low)
    page.mouse.dblclick(places[2], places[1])
    assert page.evaluate("__charts.get('response').view") is None


def test_held_curves_stay_behind_with_their_name(watched: Watched) -> None:
    page = watched.page
    paper = palette.ground("paper")
    assert _near(page.evaluate(TONE, ["response", 340.0, 84.2]), paper, 0)
    page.get_by_role("button", name="keep").click()
    page.wait_for_function("__charts.get('response').held.size === 1")
    _painted(watched, "response")
    # 90 dB held at 84 dB, half as strong as the sum itself
    tones = _tones(watched, "response", 340.0, 83.4, 84.6)
    assert any(not _near(tone, paper, 60) for tone in tones)
    assert not _has(watched, "response", 340.0, 84.0, palette.colour("sum"))
    names = page.evaluate("__charts.get('response').plan.names.map((n) => n.text)")
    assert "held: v2" in names
    rows = page.evaluate("__charts.get('response').readings(1000)")
    assert [row["name"] for row in rows][3:] == [f"{part}, held: v2"
                                                 for part in ("sum", "low", "high")]
    assert rows[3]["value"] == pytest.approx(84.0, abs=1e-5)
    page.get_by_role("button", name="let go").click()
    page.wait_for_function("__charts.get('response').held.size === 0")
    _painted(watched, "response")
    assert _near(page.evaluate(TONE, ["response", 340.0, 84.2]), paper, 0)


def test_the_theme_is_followed_at_once(watched: Watched) -> None:
    watched.page.get_by_role("button", name="theme").click()
    watched.page.wait_for_function("document.body.classList.contains('body--dark')")
    _painted(watched, "response")
    assert _has(watched, "response", 500.0, 90.0, palette.colour("sum", "dark"))
    paper = palette.ground("paper", "dark")
    assert _near(watched.page.evaluate(TONE, ["response", 340.0, 96.3]), paper, 0)
    title = watched.page.locator(".sw-title").first
    assert title.evaluate("(e) => getComputedStyle(e).color") == "rgb(242, 242, 242)"


def test_the_table_is_the_data(watched: Watched) -> None:
    watched.page.get_by_role("button", name="Copy the curves as a table").first.click()
    watched.page.get_by_text("Table copied").wait_for()
    lines = watched.page.evaluate("navigator.clipboard.readText()").splitlines()
    head = lines[0].split("\t")
    assert head == ["Frequency, Hz", "sum (measured), dB", "sum (measured), lower, dB",
                    "sum (measured), upper, dB", "low (simulated), dB", "high (datasheet), dB"]
    table = np.array([[float(cell) for cell in line.split("\t")] for line in lines[1:]])
    curves = chart_data.response().curves
    wanted = np.column_stack([chart_data.FREQUENCY, curves[0].y, *(curves[0].band or ()),
                              curves[1].y, curves[2].y])
    np.testing.assert_allclose(table, wanted, rtol=6e-7)  # seven digits


def test_the_picture_is_whole_and_on_white(watched: Watched) -> None:
    watched.page.get_by_role("button", name="Copy the chart as a picture").first.click()
    watched.page.get_by_text("Picture copied").wait_for()
    wide, high, corner = watched.page.evaluate("""async () => {
      const [item] = await navigator.clipboard.read();
      const bitmap = await createImageBitmap(await item.getType("image/png"));
      const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
      canvas.getContext("2d").drawImage(bitmap, 0, 0);
      return [bitmap.width, bitmap.height,
        [...canvas.getContext("2d").getImageData(2, 2, 1, 1).data]];
    }""")
    shown = watched.page.evaluate("__charts.get('response').plan")
    assert wide == 2 * (shown["width"] + 24)
    assert high > 2 * (shown["height"] + 24 + 13)  # title and caption stand on it too
    assert corner == [255, 255, 255, 255]


def test_end_names_do_not_overlap(watched: Watched) -> None:
    places, line = watched.page.evaluate("""async () => {
      const { endPlaces } = await import("speakerwright-plot/layout.js");
      const { plan } = __charts.get("crowded");
      return [endPlaces(plan).map((e) => e.at), plan.line];
    }""")
    assert len(places) == 6
    assert min(np.diff(places)) >= line - 1e-9


def test_only_what_is_on_screen_is_sent(watched: Watched) -> None:
    page = watched.page
    assert not page.evaluate("__charts.has('far')")
    page.get_by_role("button", name="further").click()
    _painted(watched, "response", 2)
    assert not page.evaluate("__charts.has('far')")
    page.locator("figure.sw-chart").last.scroll_into_view_if_needed()
    _painted(watched, "far", 2)
    assert page.evaluate("__charts.get('far').readings(1000)[0].value") == pytest.approx(88.0)


def test_a_chart_that_comes_back_shows_the_newest(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("tab", name="two").click()
    _painted(watched, "inside")
    for _ in range(2):  # once with nothing new: the element is made anew and must be told again
        page.get_by_role("tab", name="one").click()
        page.wait_for_function("!__charts.has('inside')")
        page.get_by_role("tab", name="two").click()
        _painted(watched, "inside")
    page.get_by_role("tab", name="one").click()
    page.wait_for_function("!__charts.has('inside')")
    page.get_by_role("button", name="further").click()
    _painted(watched, "response", 2)
    page.get_by_role("tab", name="two").click()
    _painted(watched, "inside", 2)
    assert page.evaluate("__charts.get('inside').readings(1000)[0].value") == pytest.approx(88.0)


def test_words_for_those_who_do_not_see_it(watched: Watched) -> None:
    canvas = watched.page.locator("canvas.sw-base").first
    assert canvas.get_attribute("role") == "img"
    assert canvas.get_attribute("aria-label") == described(chart_data.response())
    assert watched.page.locator(".sw-caption").first.inner_text() == chart_data.CAPTION


def test_sharp_and_whole_at_any_size(watched: Watched) -> None:
    for width in (360, 900):
        watched.page.set_viewport_size({"width": width, "height": 1300})
        watched.page.evaluate(
            "(w) => { document.querySelector('figure.sw-chart').parentElement.style.width = w }",
            f"{width - 40}px")
        watched.page.wait_for_function(
            "(w) => Math.abs(__charts.get('response').plan.width - w) < 2", arg=width - 40)
        plan, pixels = watched.page.evaluate(
            "[__charts.get('response').plan, __charts.get('response').base.width]")
        assert pixels == plan["width"]
        field = plan["field"]
        across, tall = field["right"] - field["left"], field["bottom"] - field["top"]
        assert tall / across == pytest.approx(1.0 / 3.0, abs=0.01)  # 50 dB as long as a decade
