"""What the cabinet hands out: JSON, the chapter, drawings that carry their own captions."""

from __future__ import annotations

import json
import re
import sys

import pytest

from speakerwright import cli
from speakerwright.chain import chapters, cut_files, plan_pdf
from speakerwright.words.blocks import Figure, Paragraph, Table

from .designs import EXAMPLES, ROOT, cabinet, example, worked

NUMBER = r"−?[\d.]+"


@pytest.fixture(scope="module", params=EXAMPLES)
def found(request):
    return example(request.param)


@pytest.fixture
def run(monkeypatch, capfd):
    def command(*arguments):
        monkeypatch.setattr(sys, "argv", ["speakerwright", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        return left.value.code or 0, capfd.readouterr().out

    return command


@pytest.mark.parametrize("name", EXAMPLES)
def test_json_of_cabinet_and_cutting_loads(name, run):
    status, text = run("cabinet", ROOT / "examples" / name, "--json")
    data = json.loads(text)["cabinet"]
    assert status == 0
    assert {panel["name"] for panel in data["panels"]} >= {"baffle", "back", "top"}
    assert data["panels"][0]["outline"].startswith("POLYGON")
    assert data["rooms"][0]["net"] == pytest.approx(data["rooms"][0]["wanted"], rel=0.01)
    assert all(f["verdict"] != "fails" for f in data["findings"])
    status, text = run("cutting", ROOT / "examples" / name, "--json")
    assert json.loads(text)["cutting"]["rows"]
    assert status == 0


def test_the_terminal_names_drawings_by_their_titles(run):
    _, text = run("cabinet", ROOT / "examples" / "barn-sub")
    assert "[Front view; see the plan]" in text
    assert "[Left side and right side, alike; see the plan]" in text
    assert "built-in method" not in text


def figures(found, system="metric"):
    return [b for b in chapters(found, system)["cabinet"].blocks if isinstance(b, Figure)]


def title(figure):
    return re.search("<title>(.*)</title>", figure.picture)[1]


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_drawings_carry_their_own_captions(found, system):
    made = figures(found, system)
    assert all(figure.caption == "" for figure in made)
    titles = [title(figure) for figure in made]
    assert titles[0].startswith("Depth behind the front face: ")
    assert titles[1:5] == ["Joints in section", "Front view",
                           "Section from front to back, and side view", "Pictorial view"]
    assert len(set(titles)) == len(titles)


def test_every_panel_is_drawn_once(found):
    titles = [title(figure) for figure in figures(found)]
    said = [name for one in titles[6:] if not one.startswith("Glue-up")
            for name in re.split(", | and ", one.removesuffix(", alike").lower())]
    assert sorted(said) == sorted(panel.name for panel in found.cabinet.panels)


def test_the_tightest_chain_is_drawn(found):
    name = title(figures(found)[0]).removeprefix("Depth behind the front face: ")
    least = min(found.cabinet.chains, key=lambda chain: chain.clear)
    assert name == least.name


def test_the_volume_table_adds_up(found):
    for room in found.cabinet.rooms:
        assert room.closed_form == pytest.approx(
            room.gross - sum(volume for _, volume in room.displaced))
    tables = [b for b in chapters(found, "metric")["cabinet"].blocks
              if isinstance(b, Table) and b.heads[0] == "Volume"]
    for table, room in zip(tables, found.cabinet.rooms, strict=True):
        values = [float(re.match(NUMBER, cell)[0].replace("−", "-")) for _, cell in table.rows]
        names = [name for name, _ in table.rows]
        net = values[names.index("net, by these figures")]
        parts = values[:names.index("net, by these figures")]
        assert sum(parts) == pytest.approx(net, abs=0.006 * len(parts))
        assert values[0] == pytest.approx(1e3 * room.gross, abs=0.006)


def test_where_inner_panels_stand(found):
    tables = [b for b in chapters(found, "metric")["cabinet"].blocks
              if isinstance(b, Table) and b.heads[:2] == ("Panel", "Above the bottom")]
    inner = [p for p in found.cabinet.panels if p.role in ("divider", "brace", "slot board")]
    assert bool(tables) == bool(inner)
    for row, panel in zip(tables[0].rows if tables else (), inner, strict=True):
        low, high = (float(re.match(NUMBER, part)[0]) for part in row[1].split(" to "))
        assert (low, high) == pytest.approx(
            (panel.bounding_box[2], panel.bounding_box[5]), abs=0.051)
        assert row[0] == panel.name


def test_a_cabinet_too_large_for_a_page_is_told_so():
    large = worked(cabinet=cabinet(width="9 m", height="9.5 m"))
    said = [b.text for b in chapters(large, "metric")["cabinet"].blocks
            if isinstance(b, Paragraph)]
    assert any(text.startswith("No drawing of the cabinet: ") for text in said)
    assert plan_pdf(large).startswith(b"%PDF")


def test_inches_and_letter_paper():
    found = example("desk-pair")
    letter = found.design.with_values({"plan.units": "inch", "plan.paper": "us-letter"})
    from speakerwright.chain import Memo, work

    pdf = plan_pdf(work(letter, Memo()))
    assert pdf.startswith(b"%PDF")
    assert cut_files(found).keys() >= {"cut-list.csv", "panels/baffle-second-face.dxf"}
