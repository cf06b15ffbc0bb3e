"""A found candidate put into the design, and told in tables."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from bass.search.spaces import SMALL, design, space
from speakerwright import chain
from speakerwright.bass.search import table
from speakerwright.bass.search.found import Found
from speakerwright.bass.search.run import search
from speakerwright.bass.search.take import changes
from speakerwright.design.document import Design


@pytest.fixture(scope="module")
def found() -> Found:
    return search(space())


def one_of(found: Found, **wanted):
    members = (*found.members, *found.fallen)
    return next(m for m in members
                if all(getattr(m.candidate, k) == v for k, v in wanted.items()))


@pytest.mark.parametrize("loading", ["closed", "vented", "passive-radiator", "band-pass-4"])
@pytest.mark.parametrize("example", ["desk-pair", "barn-sub"])
def test_what_is_taken_is_what_was_worked_out(loading, example):
    """The design with a candidate in it has that candidate's figures, through the whole chain."""
    from speakerwright.bass.search.full import worked_out

    where = space(example, replace(SMALL, loadings=(loading,)))
    plain = design(example, drone=True)
    for number in (where.size // 3, 2 * where.size // 3 + 5, where.size - 1):
        family, candidate = where.find(number)
        if candidate.added_mass is not None and candidate.added_mass < 0:
            continue
        full = worked_out(family, candidate, where.need, where.bounds)
        taken = plain.with_values(changes(plain, "main", candidate))
        chamber = taken.decided.bass["main"]
        assert chamber.loading == loading
        assert chamber.volume == pytest.approx(candidate.volume, rel=1e-12)
        assert chamber.losses == plain.decided.bass["main"].losses
        result = chain.work(taken, chain.Memo(), last="bass").bass.chambers["main"]
        assert result.driver.sd == pytest.approx(
            candidate.count * family.inputs.motor.sd, rel=1e-12)
        named = {10.0: "f10", 6.0206: "f6", 6.0: "f6"}[plain.decided.brief.lowest_drop]
        assert result.cutoffs[named] == pytest.approx(full.values[2], rel=2e-3)
        if full.port_length is not None and not full.off:
            (port,) = result.ports.values()
            assert port.length == pytest.approx(full.port_length, rel=0.02)


def test_places_for_another_number_are_taken_out(found):
    hall = design("harbour-hall")
    where = space("harbour-hall", replace(SMALL, loadings=("vented", "closed")), drone=False)
    candidates = [where.find(n)[1] for n in range(where.size)]
    two = next(c for c in candidates if c.count == 2 and c.tube and c.tube.count == 1)
    written = changes(hall, "main", two)
    assert written["cabinet.ports.main"] is None
    assert written["directivity.low.at"] is None
    alike = next(c for c in candidates if c.count == 1 and c.tube and c.tube.count == 2)
    written = changes(hall, "main", alike)
    assert not [path for path in written if path.startswith(("cabinet", "directivity"))]
    closed = next(c for c in candidates if c.loading == "closed")
    written = changes(hall, "main", closed)
    assert written["cabinet.ports.main"] is None
    assert written["bass.main.port"] is None
    for each in (two, alike, closed):
        assert isinstance(hall.with_values(changes(hall, "main", each)), Design)


def test_the_chapter_and_the_csv_hold_the_same(found):
    made = table.chapter(found, "EUR", "metric", 3)
    shown, rows = made.blocks[1].heads, made.blocks[1].rows
    assert len(rows) == 3
    assert "what fails" not in shown  # nothing fails in these
    size, cost = shown.index("size"), shown.index("cost")
    read = list(csv.DictReader(io.StringIO(table.csv_text(found))))
    assert len(read) == len(found.members) + len(found.fallen)
    assert [r["stands"] for r in read] == ["yes"] * len(found.members) + ["no"] * len(found.fallen)
    for cells, row, member in zip(rows, read, found.members, strict=False):
        assert float(row["size_litres"]) == pytest.approx(member.size * 1e3, rel=1e-5)
        assert float(row["lowest_hz"]) == pytest.approx(member.extension, rel=1e-5)
        assert float(row["headroom_db"]) == pytest.approx(member.headroom_db, rel=1e-5)
        assert cells[size] == f"{member.size * 1e3:.2f}\u202fL"
        assert cells[cost] == f"{member.cost:.0f} EUR"


def test_inches_and_unknown_prices_and_parts_are_told(found):
    member = one_of(found, loading="vented")
    cells = table.row(replace(member, cost=None, fails=("port_gap",)), "EUR", "inch")
    assert cells[6] == "unknown"
    assert cells[10] == "port_gap"
    assert cells[4].startswith(("ø", "2 × ø")) or "slot" in cells[4]
    assert cells[2].endswith("ft³")
    assert table.drivers(replace(member.candidate, count=2, wiring="series")) == (
        "2 fenlark-165, series")
    drone = replace(member.candidate, tube=None, passive="wagtail-200", passive_count=2,
                    added_mass=0.0123)
    assert table.port(drone, None, "metric") == "2 wagtail-200, each + 12.30\u202fg"


def test_a_difference_outside_the_band_is_told(found):
    wide = replace(found.differences[2], figure="headroom", largest=-1.5, outside=3)
    assert table.difference(wide) == (
        "Full results differ from the screen's headroom by −1.5\u202fdB at most; 3 lie outside the "
        "guard band, so a member of the front may be missing.")
    assert table.difference(replace(wide, outside=0)).endswith("at most, inside the guard band.")


def test_what_was_found_survives_json(found):
    assert Found.read(json.loads(json.dumps(found.plain()))) == found
