"""Other ports on the bass page: asked for, shown in order, taken over in one step of undo."""

from __future__ import annotations

import asyncio
import logging

import pytest

from speakerwright.workbench.pages import bass_ports
from speakerwright.workbench.session import written

from .pages import Tabs, copied, element, until, user_at


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture(autouse=True)
def no_error_is_logged(caplog):
    yield
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert not told, [r.getMessage() for r in told]


@pytest.fixture
def parts(monkeypatch):
    """The parts that the page builds, newest last."""
    made = []

    class Recorded(bass_ports.Ports):
        def __init__(self, *args):
            super().__init__(*args)
            made.append(self)

    monkeypatch.setattr("speakerwright.workbench.pages.bass.Ports", Recorded)
    return made


def chamber(tabs):
    return tabs.bench.live.workup.bass.chambers["main"]


def test_ports_are_asked_for_and_one_is_taken(tabs, parts, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/bass") as user:
            await until(lambda: tabs.bench.live is not None)
            part = parts[-1]
            user.find(marker="ports:main:ask").click()
            await until(lambda: part.found)
            await until(lambda: not part.note.visible)
            fitting = [each for each in part.found if each.fits]
            taken = next(k for k, each in enumerate(fitting)
                         if not each.now and not each.port.bends)
            before, wanted = tabs.session.design, fitting[taken]
            element(user, f"port:main:{taken}")
            now = next(k for k, each in enumerate(fitting) if each.now)
            assert not user_has(user, f"port:main:{now}")
            user.find(marker=f"port:main:{taken}").click()
            assert tabs.session.design.decided.bass["main"].port.count == wanted.port.count
            await until(lambda: abs(chamber(tabs).port.length - wanted.length) < 1e-9)
            user.find("Undo").click()
            assert tabs.session.design.raw == before.raw

    asyncio.run(scenario())


def test_a_change_makes_them_stale_and_a_closed_box_has_none(tabs, parts, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/bass") as user:
            await until(lambda: tabs.bench.live is not None)
            part = parts[-1]
            user.find(marker="ports:main:ask").click()
            await until(lambda: part.found)
            await until(lambda: not part.note.visible)
            tabs.session.edit("bass.main.volume", "50 L")
            await until(lambda: "earlier state" in part.note.text)
            assert "is-stale" in part.place.classes
            user.find(marker="ports:main:ask").click()
            await until(lambda: not part.note.visible)
            assert "is-stale" not in part.place.classes
            count = len(parts)
            user.find(marker="bass.main.loading").trigger("change", "closed")
            await until(lambda: written(tabs.session.design, "bass.main.port") is None)
            await until(lambda: not user_has(user, "ports:main:ask"))
            assert len(parts) == count

    asyncio.run(scenario())


def user_has(user, mark):
    try:
        element(user, mark)
    except AssertionError:
        return False
    return True
