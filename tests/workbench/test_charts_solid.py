"""The solid on the page: meshes, memory, cut, explosion, measuring, choosing."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from speakerwright.drawing import palette
from speakerwright.solids.assembly import Collision
from speakerwright.solids.bodies import air_plug, box_body, cylinder_body
from speakerwright.solids.panels import Placement, hole, plain
from speakerwright.workbench.cabinet3d import mesh_parts, packed_parts, sharp_edges

from . import chart_data
from .chart_browser import Watched, browser, served

VIEW = "[...__solids.values()][0]"
READ = """(places) => {
  const view = [...__solids.values()][0]; view.renderNow();
  const gl = view.renderer.getContext(); const found = new Uint8Array(4);
  const ratio = view.renderer.getPixelRatio();
  return places.map(([x, y]) => {
    gl.readPixels(Math.round(x * ratio), gl.drawingBufferHeight - 1 - Math.round(y * ratio), 1, 1,
      gl.RGBA, gl.UNSIGNED_BYTE, found);
    return [...found.slice(0, 3)];
  });
}"""
WHERE = """(points) => {
  const view = [...__solids.values()][0];
  return points.map((point) => view.toScreen(view.camera.position.clone().set(...point)));
}"""
Point = tuple[float, float, float]


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, chrome: Any) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("solid")) as found:
        yield found


@pytest.fixture
def watched(chrome: Any, address: str) -> Iterator[Watched]:
    context = chrome.new_context(viewport={"width": 900, "height": 700})
    seen = Watched(context.new_page(), address)
    seen.page.goto(f"{address}/solid")
    seen.page.wait_for_function(
        "window.__solids?.size === 1 && [...__solids.values()][0].pieces.length === 6",
        timeout=20000)
    yield seen
    context.close()
    assert seen.complaints == []
    assert seen.strangers() == []


def _where(seen: Watched, *points: Point) -> list[list[float]]:
    """Where points of the world are seen, in the canvas's pixels."""
    return list(seen.page.evaluate(WHERE, points))


def _pixels(seen: Watched, *points: Point) -> list[list[int]]:
    """The colours where points of the world are seen."""
    return list(seen.page.evaluate(READ, _where(seen, *points)))


def _rgb(colour: str) -> list[int]:
    return [int(colour[k:k + 2], 16) for k in (1, 3, 5)]


def _slide(seen: Watched, name: str, value: float) -> None:
    seen.page.get_by_label(name, exact=True).evaluate(
        "(e, v) => { e.value = v; e.dispatchEvent(new Event('input', { bubbles: true })); }",
        str(value))


# ---- meshes


def test_a_box_has_twelve_edges_and_a_cylinder_its_two_rims() -> None:
    box, = mesh_parts((), [box_body("b", (0, 0, 0), (10, 20, 30))])
    assert box["edges"].shape == (12, 2)
    ends = box["positions"][box["edges"]].astype(float)
    lengths = np.sort(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1))
    np.testing.assert_allclose(lengths, [10.0] * 4 + [20.0] * 4 + [30.0] * 4)
    tube, = mesh_parts((), [cylinder_body("c", 40.0, 60.0, (0.0, 0.0))])
    rim = len(tube["positions"]) // 2
    assert len(tube["edges"]) == 2 * rim
    assert len(sharp_edges(np.zeros((0, 3)), np.zeros((0, 3)))) == 0


def test_meshes_close_and_hold_the_solids_volume() -> None:
    panel = plain("side", 100.0, 60.0, 18.0, Placement.facing((0, 0, 0), (0, -1, 0), (1, 0, 0)))
    panel = panel.with_feature(hole(50.0, 30.0, 25.0, "a hole"))
    found = mesh_parts([panel], [air_plug(panel, "a hole")], {"side": "low"})
    assert [(part["name"], part["kind"], part["part"]) for part in found] == [
        ("side", "panel", "low")]
    part = found[0]
    assert part["positions"].dtype == np.float32
    assert part["indices"].dtype == np.uint32
    a, b, c = (part["positions"][part["indices"][:, k]].astype(float) for k in range(3))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
    assert volume == pytest.approx(panel.solid().volume(), rel=1e-6)


def test_parts_travel_unharmed_with_their_collisions() -> None:
    parts = chart_data.box_parts()
    sent = packed_parts(parts, [Collision("a", "b", 1.0, (0, 0, 0)), ("c", "d"), "e"])
    size = int.from_bytes(sent[:4], "little")
    assert size % 4 == 0
    header = json.loads(sent[4:4 + size])
    for listed, given in zip(header["parts"], parts, strict=True):
        for name, kind in (("positions", "<f4"), ("indices", "<u4"), ("edges", "<u4")):
            begin, count = listed[name]
            found = np.frombuffer(sent, kind, count, 4 + size + begin)
            np.testing.assert_array_equal(found, np.ravel(given[name]))  # type: ignore[call-overload]
    assert [hit["names"] for hit in header["collisions"]] == [["a", "b"], ["c", "d"], ["e"]]
    assert header["words"] == ("Cabinet, 6 panels and 0 other parts. "
                               "Collisions: a and b; c and d; e.")


# ---- in the browser


def test_memory_stays_level_over_200_updates(watched: Watched) -> None:
    before, after = watched.page.evaluate("""async () => {
      const { unpack } = await import("speakerwright-solids");
      const [token, view] = [...__solids.entries()][0];
      const path = performance.getEntriesByType("resource").map((r) => r.name)
        .find((name) => name.includes(token));
      const buffer = await (await fetch(path)).arrayBuffer();
      view.resize(120, 90); // drawn by the processor here: small is quick
      view.setCut("x", 0.5);
      const update = (k) => {
        const { parts } = unpack(buffer);
        view.show(k % 2 ? parts : parts.slice(1), k % 3 ? [] : [{ names: ["top"], label: "t" }]);
        view.choose(k % 5 ? "top" : null);
        view.renderNow();
      };
      for (let k = 0; k < 6; k++) update(k);
      const before = view.memory();
      for (let k = 6; k < 206; k++) update(k);
      return [before, view.memory()];
    }""")
    assert before["geometries"] > 10
    assert after == before


def test_new_parts_come_over_the_wire(watched: Watched) -> None:
    before = watched.page.evaluate(f"{VIEW}.direction()")
    watched.page.evaluate(f"{VIEW}.turn(11, 7)")
    watched.page.get_by_role("button", name="more").click()
    watched.page.wait_for_function(f"{VIEW}.pieces.length === 7")
    turned = watched.page.evaluate(f"{VIEW}.direction()")
    assert turned == pytest.approx([before[0] + 11.0, before[1] + 7.0], abs=1e-6)  # the eye stays
    listed = watched.page.get_by_label("Part", exact=True)
    names = listed.evaluate("(e) => [...e.options].map((option) => option.value)")
    assert names[1:] == ["left side", "right side", "bottom", "top", "back", "block", "shelf"]


def test_a_cut_shows_hatched_walls_and_leaves_the_void(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="From the right").click()
    whole, = _pixels(watched, (0.0, 130.0, 150.0))
    page.get_by_label("Cut", exact=True).select_option("x")
    _slide(watched, "Place of the cut", 500)
    page.wait_for_function("document.querySelector('.sw-bar output').textContent === '0.0\u2009mm'")
    cut = page.evaluate(f"{VIEW}.pieces.filter((p) => p.cap.visible).map((p) => p.part.name)")
    assert sorted(cut) == ["back", "block", "bottom", "top"]
    # along the middle of the top's cut face both the ground and the lines of the hatching
    seen = _pixels(watched, *((0.0, float(y), 290.0) for y in np.linspace(20.0, 200.0, 60)))
    ground = _rgb("#e6dcc8")
    ink = _rgb(palette.ground("ink"))
    line = min(seen, key=sum)
    assert any(max(abs(a - b) for a, b in zip(tone, ground, strict=True)) <= 2 for tone in seen)
    assert sum(line) < 0.75 * sum(ground)
    assert sum(line) > sum(ink)
    # the void shows the far side's face, one plain tone, no hatching
    places = ((0.0, float(y), 150.0) for y in np.linspace(100.0, 200.0, 30))
    void = {tuple(tone) for tone in _pixels(watched, *places)}
    assert len(void) == 1
    assert all(max(abs(a - b) for a, b in zip(tone, ground, strict=True)) > 2 for tone in void)
    page.get_by_label("Cut", exact=True).select_option("")
    assert _pixels(watched, (0.0, 130.0, 150.0)) == [whole]
    assert page.evaluate(f"{VIEW}.pieces.every((p) => !p.cap.visible)")


def test_what_is_cut_away_cannot_be_picked(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="From the right").click()
    pick = (f"(point) => {{ const v = {VIEW}; const p = v.toScreen(v.camera.position.clone()"
            ".set(...point)); return v.pick(...p)?.piece.part.name; }")
    assert page.evaluate(pick, (0.0, 130.0, 150.0)) == "right side"
    page.get_by_label("Cut", exact=True).select_option("x")
    assert page.evaluate(pick, (0.0, 130.0, 150.0)) == "left side"
    assert page.evaluate(pick, (0.0, 75.0, 35.0)) == "block"


def test_explosion_moves_the_parts_away_from_the_middle(watched: Watched) -> None:
    _slide(watched, "Explode", 50)
    places = watched.page.evaluate(
        f"Object.fromEntries({VIEW}.pieces.map((p) => [p.part.name, p.group.position.toArray()]))")
    # half of the way from the middle (0, 120, 150) to each part's own middle
    assert places["left side"] == pytest.approx([-45.0, 0.0, 0.0])
    assert places["top"] == pytest.approx([0.0, 0.0, 70.0])
    assert places["back"] == pytest.approx([0.0, 55.0, 0.0])
    assert places["block"] == pytest.approx([0.0, -22.5, -57.5])
    _slide(watched, "Explode", 0)
    assert watched.page.evaluate(f"{VIEW}.pieces.every((p) => p.group.position.length() === 0)")


def test_a_measured_length_snaps_to_corners(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="From the right").click()
    page.get_by_role("button", name="Measure").click()
    box = page.locator("figure.sw-solid canvas").bounding_box()
    assert box is not None
    for point, slip in (((100.0, 0.0, 0.0), 4), ((100.0, 240.0, 0.0), -4)):
        (x, y), = _where(watched, point)
        page.mouse.click(box["x"] + x + slip, box["y"] + y - 4)
    page.get_by_text("240.0\u2009mm").first.wait_for(state="attached")
    page.get_by_role("button", name="inches").click()
    page.wait_for_function("document.querySelector('.sw-tag').textContent === '9 7/16\u2009in'")
    page.keyboard.press("Tab")
    page.locator("figure.sw-solid canvas").focus()
    page.keyboard.press("Escape")
    assert page.evaluate(f"{VIEW}.marks.length") == 0


def test_a_part_is_named_under_the_pointer_and_chosen_by_a_click(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="From above").click()
    box = page.locator("figure.sw-solid canvas").bounding_box()
    assert box is not None
    (x, y), = _where(watched, (0.0, 120.0, 300.0))
    before = _pixels(watched, (0.0, 120.0, 300.0))
    page.mouse.move(box["x"] + x, box["y"] + y)
    page.locator(".sw-tag", has_text="top").wait_for()
    page.mouse.down()
    page.mouse.up()
    page.get_by_text("chosen: top").wait_for()
    assert _pixels(watched, (0.0, 120.0, 300.0)) != before
    page.get_by_label("Part", exact=True).select_option("block")
    page.get_by_text("chosen: block").wait_for()
    page.locator("figure.sw-solid canvas").focus()
    page.keyboard.press("Escape")
    page.get_by_text("chosen: None").wait_for()


def test_collisions_are_told_in_words_and_colour(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="From the front", exact=False).first.click()
    (red, green, _), = _pixels(watched, (0.0, 0.0, 10.0))
    assert red - green < 30
    page.get_by_role("button", name="foul").click()
    page.get_by_text("Collision: block and bottom").wait_for()
    reds = page.evaluate(f"{VIEW}.pieces.filter((p) => p.collides).map((p) => p.part.name)")
    assert reds == ["bottom", "block"]
    canvas = page.locator("figure.sw-solid canvas")
    assert "Collisions: block and bottom." in (canvas.get_attribute("aria-label") or "")
    (red, green, _), = _pixels(watched, (0.0, 0.0, 10.0))
    assert red - green > 80


def test_keys_turn_and_the_theme_is_followed(watched: Watched) -> None:
    page = watched.page
    canvas = page.locator("figure.sw-solid canvas")
    canvas.focus()
    page.keyboard.press("1")
    assert page.evaluate(f"{VIEW}.direction()") == pytest.approx([-90.0, 0.0], abs=1e-6)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    assert page.evaluate(f"{VIEW}.direction()") == pytest.approx([-85.0, 5.0], abs=1e-6)
    paints = [page.evaluate(f"{VIEW}.paints")]
    while len(paints) < 20 and (len(paints) < 2 or paints[-1] != paints[-2]):
        page.wait_for_timeout(400)
        paints.append(page.evaluate(f"{VIEW}.paints"))
    assert paints[-1] == paints[-2]  # nothing moves: nothing is drawn
    assert page.evaluate(READ, [[3, 3]])[0] == _rgb(palette.ground("paper"))
    page.get_by_role("button", name="theme").click()
    page.wait_for_function("document.body.classList.contains('body--dark')")
    assert page.evaluate(READ, [[3, 3]])[0] == _rgb(palette.ground("paper", "dark"))


def test_without_webgl_it_is_said_and_the_page_works(chrome: Any, address: str) -> None:
    context = chrome.new_context()
    context.add_init_script("""const get = HTMLCanvasElement.prototype.getContext;
      HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
        return kind.startsWith("webgl") ? null : get.call(this, kind, ...more); };""")
    seen = Watched(context.new_page(), address)
    seen.page.goto(f"{address}/solid")
    seen.page.get_by_text("this browser has no WebGL").wait_for()
    seen.page.get_by_role("button", name="theme").click()
    seen.page.wait_for_function("document.body.classList.contains('body--dark')")
    assert seen.page.get_by_role("button", name="Fit").is_disabled()
    context.close()
    assert seen.complaints == []
