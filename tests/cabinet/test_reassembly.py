"""Cabinets put together again from their cut list and drawings alone."""

from __future__ import annotations

import datetime
import math
import random
from pathlib import Path

import pytest

from speakerwright.chain import chapters, cut_files
from speakerwright.words.blocks import Table

from . import random_boxes
from .designs import EXAMPLES, ROOT, example, worked
from .reassembly import clear_of, full, overlaps, places_from, put_together, read_boards

SIZE_OFF = 0.001  # mm
VOLUME_OFF = 5e-4
PAGE = ROOT / "docs" / "proof" / "random-boxes.md"


def again(found):
    """The cabinet from its files, its rooms' clear heights, and its net volume by hand."""
    boards = read_boards(cut_files(found))
    t = boards["baffle"].thickness
    tables = [block for block in chapters(found, "metric")["cabinet"].blocks
              if isinstance(block, Table) and block.heads[:2] == ("Panel", "Above the bottom")]
    places = places_from(tables[0]) if tables else {}
    built = put_together(boards, places)
    flush = {m.flush for m in found.design.decided.directivity.values()}
    flanges = {1e3 * p.record.body.flange for p in found.cabinet.placed
               if p.mounting.flush == "yes"}
    assert {depth for _, depth, face in boards["baffle"].blind if face == "OUTSIDE"} == (
        {round(f, 1) for f in flanges} if "yes" in flush else set())
    steps = sorted((places[n][2], places[n][2] + boards[n].thickness) for n in boards
                   if n.startswith("divider"))
    ends = [t, *(z for step in steps for z in step), built.size[1] - t]
    return built, list(zip(ends[::2], ends[1::2], strict=True))


def air_of(port, sheet):
    """What ports take from the inside beside their boards: a tube with its wall, a slot's air."""
    if port is None:
        return 0.0
    long = 1e3 * port.length - sheet
    if port.shape == "round":
        return port.count * math.pi / 4 * (1e3 * (port.bore + 2 * port.wall)) ** 2 * long
    return port.count * 1e6 * port.width * port.height * long


def compared(found, taken, name="main"):
    """How far sizes (mm) and net volume (a share) are off after putting together."""
    built, rooms = again(found)
    sizes = found.settled.sizes
    off = max(abs(a - 1e3 * b) for a, b in zip(
        built.size, (sizes.width, sizes.height, sizes.depth), strict=True))
    at = [room.name for room in sizes.rooms].index(name)
    net = clear_of(built, *rooms[at]) - taken - air_of(found.cabinet.ports.get(name), built.sheet)
    told = 1e9 * next(room.net for room in found.cabinet.rooms if room.name == name)
    assert overlaps(built) == []
    dadoed = any(joint.kind == "dado" for joint in found.cabinet.joints)
    assert full(built) == pytest.approx(1.0, rel=5e-5 if dadoed else 1e-6)  # clearance, printing
    return off, abs(net / told - 1.0)


def one_box(seed):
    records, sections, taken = random_boxes.sections(seed)
    found = worked(records, **sections)
    assert found.settled.closed
    asked = found.design.decided.bass["main"].volume
    assert found.cabinet.rooms[0].net == pytest.approx(asked, rel=1e-4)
    return compared(found, taken), found


@pytest.fixture(scope="module")
def fresh():
    seed = random.SystemRandom().randrange(10**6)
    print(f"seed {seed}")
    return seed


@pytest.mark.parametrize("k", range(5))
def test_a_few_random_boxes(k, fresh):
    (off, share), _ = one_box(fresh + k)
    assert off < SIZE_OFF, f"seed {fresh + k}"
    assert share < VOLUME_OFF, f"seed {fresh + k}"


# what the drivers' records state, with inserts' collars (12 x 6, 9 x 5, 15 x 8 mm), mm³, by hand;
TAKEN = {
    "harbour-hall": 2.6e6 + 8 * math.pi / 4 * 12**2 * 6,
    "barn-sub": 9.0e6 + 8 * math.pi / 4 * 15**2 * 8,
}


@pytest.mark.parametrize("name", [n for n in EXAMPLES if n != "desk-pair"])  # its ends are mitred
def test_the_examples(name):
    off, share = compared(example(name), TAKEN[name])
    assert off < SIZE_OFF
    assert share < VOLUME_OFF


def test_a_wrong_drawing_would_be_noticed():
    """A rabbet a millimetre too deep makes the box shallower, a brace too low changes nothing."""
    found = example("harbour-hall")
    files = cut_files(found)
    name = "panels/baffle.dxf"
    files[name] = files[name].replace(b"POCKET_6.0_INSIDE", b"POCKET_7.0_INSIDE")
    boards = read_boards(files)
    built = put_together(boards, dict.fromkeys(boards, (0, 0, 0)))
    assert built.size[2] == pytest.approx(300.0 - 2.0)


@pytest.mark.prove
def test_a_hundred_random_boxes():
    worst, kinds = [0.0, 0.0], {}
    for seed in range(1, 101):
        (off, share), found = one_box(seed)
        worst = [max(worst[0], off), max(worst[1], share)]
        port = found.design.decided.bass["main"].port
        kind = "closed" if port is None else (
            f"{port.count} round" if port.shape == "round" else
            f"slot sharing {port.walls_shared} walls")
        kinds[kind] = kinds.get(kind, 0) + 1
        assert off < SIZE_OFF, f"seed {seed}"
        assert share < VOLUME_OFF, f"seed {seed}"
    _write(PAGE, worst, kinds)


def _write(page: Path, worst: list[float], kinds: dict[str, int]) -> None:
    """The dated table of what came out."""
    rows = "\n".join(f"| {kind} | {count} |" for kind, count in sorted(kinds.items()))
    page.write_text(
        "# Random boxes\n\n"
        "Made by `make prove` (`tests/cabinet/test_reassembly.py`): random cabinets of random\n"
        "sheet, joint, rooms, port, braces and driver, the height left free to close the net\n"
        "volume. Each is put together again from `cut-list.csv`, the panels' DXF drawings and the\n"
        "plan's table of where inner panels stand, by a joint rule written anew in the test, and\n"
        "compared with the design's outside sizes and with the net volume that the program tells.\n"
        "The drivers' stated volume, inserts and ports are subtracted by hand.\n\n"
        f"Date: {datetime.date.today().isoformat()}. Machine: 2 cores. Seeds: 1 to 100.\n\n"
        "| what | worst of 100 | allowed |\n|---|---|---|\n"
        f"| outside size off, mm | {worst[0]:.2g} | {SIZE_OFF:g} |\n"
        f"| net volume off | {100 * worst[1]:.2g} % | {100 * VOLUME_OFF:g} % |\n"
        "| pairs of panels in one place | 0 | 0 |\n\n"
        f"| loading | boxes |\n|---|---|\n{rows}\n", encoding="utf-8")
