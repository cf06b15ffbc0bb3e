"""A free size, the port's length and the net volume of the solids settle together."""

from __future__ import annotations

import random

import pytest

from speakerwright.chain import settle
from speakerwright.chain.sizing import ROUNDS, SOLID_ROUNDS

from .designs import cabinet, design, finding, record, vented, worked

CLOSED_TO = 1e-4


def case(rng: random.Random):
    """Sections of a random design with one free size, a port of some kind, braces, flush or not."""
    free = rng.choice(["width", "height", "depth"])
    sizes = {"width": rng.uniform(290, 420), "height": rng.uniform(480, 760),
             "depth": rng.uniform(260, 380)}
    sheet = rng.choice([15, 18, 22])
    gross = 1e-6
    for value in sizes.values():
        gross *= value - 2 * sheet
    kind = rng.choice(["round", "slot", "closed", "tuned"])
    share = rng.uniform(0.55, 0.75)
    wide = sizes["width"] if free != "width" else None
    port = {
        "round": {"bore": "60 mm", "wall": "2.5 mm", "length": f"{rng.uniform(90, 190):.1f} mm"},
        "tuned": {"bore": "70 mm", "count": 2, "centres": "110 mm", "tuning": "48 Hz"},
        "slot": {"shape": "slot", "width": "180 mm", "height": "28 mm", "wall": "15 mm",
                 "walls_shared": 1, "length": f"{rng.uniform(100, 180):.1f} mm"},
    }.get(kind)
    if kind == "slot" and wide is not None and rng.random() < 0.5:
        port |= {"width": f"{wide - 2 * sheet} mm", "walls_shared": 3}
    volume = f"{gross * share:.3f} L"
    bass = {"main": {"loads": ["low"], "loading": "closed", "volume": volume}}
    braces = [{"chamber": "main", "at": "380 mm", "open": round(rng.uniform(0.2, 0.7), 2)}]
    return {
        "bass": bass if port is None else vented(volume, **port),
        "cabinet": cabinet(**{**{n: f"{v:.2f} mm" for n, v in sizes.items()}, free: None},
                           sheet=f"{sheet} mm", joint=rng.choice(["butt", "rabbet"]),
                           braces=braces if rng.random() < 0.6 else []),
        "directivity": {"low": {"at": [["0 mm", "250 mm"]],
                                "flush": rng.choice(["yes", "no"])}},
    }


@pytest.mark.parametrize("seed", range(12))
def test_random_free_sizes_close_the_solids_on_the_volume(seed):
    sections = case(random.Random(seed))
    found = worked({"cone": record(volume="1.1 L", bolts=8, bolt_circle="190 mm", bolt="M5")},
                   **sections)
    assert found.settled.closed
    assert found.settled.free is not None
    assert found.settled.rounds <= ROUNDS * (1 + SOLID_ROUNDS)
    (room,) = found.cabinet.rooms
    assert room.net == pytest.approx(room.wanted, rel=CLOSED_TO)
    assert finding(found, "volume_closes").verdict == "holds"
    # the port that the bass tells is the one that stands in the cabinet
    for name, port in found.cabinet.ports.items():
        assert port.length == pytest.approx(found.bass.chambers[name].port.length, rel=1e-9)


def test_a_decided_size_is_left_alone():
    found = settle(design())
    assert (found.free, found.rounds, found.closed) == (None, 0, True)
    assert found.sizes.height == 0.5


def test_no_cabinet_settles_nothing():
    assert settle(design(cabinet=None, directivity=None)) is None


def test_a_closed_box_by_hand():
    """What stands inside is the cone alone: its frustum and magnet, by hand."""
    found = worked(cabinet=cabinet(height=None))
    inside = 0.264 * 0.264
    clear = (0.030 + 1e-9 * cone_volume_behind()) / inside
    assert found.settled.sizes.height == pytest.approx(clear + 0.036, rel=2e-5)


def cone_volume_behind():
    from .designs import cone_volume

    return cone_volume(18.0)


def test_two_rooms_close_the_one_that_is_named():
    chambers = {"main": {}, "top": {"height": "100 mm"}}
    found = worked(cabinet=cabinet(height=None, chambers=chambers, closes="main"))
    nets = {room.name: room.net for room in found.cabinet.rooms}
    assert nets["main"] == pytest.approx(0.030, rel=CLOSED_TO)
    assert nets["top"] == pytest.approx(0.264 * 0.264 * 0.1, rel=1e-6)


def test_a_volume_that_no_size_closes_is_a_finding():
    """The tuning asks for a tube that grows faster than the room: it never closes."""
    found = worked(
        cabinet=cabinet(width=None, height="80 mm", depth="120 mm"),
        bass=vented("0.5 L", bore="75 mm", length="4 m", wall="3 mm"),
        directivity={"low": {"at": [["0 mm", "40 mm"]]}},
    )
    if found.settled.closed:  # then at least the solids say that it does not fit
        assert any(f.stops for f in found.findings["cabinet"])
    nobody = worked(cabinet=cabinet(depth=None, chambers={"main": {"height": "300 mm"},
                                                          "top": {}}, closes="top"))
    (one,) = nobody.findings["cabinet"]
    assert (one.rule, one.verdict) == ("sizes_settle", "fails")
    assert "free depth" in one.text()
    assert nobody.cabinet is None
