"""Braces on the cabinet page: walls on request, proposals taken over in one step of undo."""

from __future__ import annotations

import asyncio
import logging

import pytest

from speakerwright.workbench.pages import cabinet_fields

from .pages import Tabs, copied, until, user_at


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
    made = {"Proposals": [], "OnRequest": []}
    for name, found in made.items():
        class Recorded(getattr(cabinet_fields, name)):
            def __init__(self, *args, _found=found, **more):
                super().__init__(*args, **more)
                _found.append(self)

        monkeypatch.setattr(cabinet_fields, name, Recorded)
    return made


def test_braces_are_proposed_and_taken(tabs, parts, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            await until(lambda: tabs.bench.current is not None)
            part = parts["Proposals"][-1]
            user.find(marker="braces:ask").click()
            await until(lambda: part.found)
            await until(lambda: not part.note.visible)
            before = tabs.session.design
            wanted = next(k for k, offer in enumerate(part.found)
                          if offer.proposed.kind == "shelf" and len(offer.proposed.at) == 2)
            offer = part.found[wanted]
            user.find(marker=f"brace:{wanted}").click()
            braces = tabs.session.design.decided.cabinet.braces
            assert [brace.at for brace in braces] == pytest.approx(offer.proposed.at)
            user.find("Undo").click()
            assert tabs.session.design.raw == before.raw

    asyncio.run(scenario())


def test_walls_are_worked_out_and_drawn_and_go_stale(tabs, parts, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            await until(lambda: tabs.bench.current is not None)
            asked = parts["OnRequest"][-1]
            user.find("Work the walls out").click()
            await until(lambda: asked.outcome is not None, 60.0)
            await until(lambda: asked.fresh)
            await user.should_see("Every field")
            assert asked.place.default_slot.children
            assert tabs.session.edit("cabinet.sheet", "15 mm")
            tabs.session.commit()
            await until(lambda: not parts["OnRequest"][-1].fresh)

    asyncio.run(scenario())
