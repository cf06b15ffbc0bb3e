"""The search on the bass page, by a simulated user."""

from __future__ import annotations

import asyncio
import logging
from dataclasses import replace
from functools import partial

import pytest

from bass.search.spaces import SMALL
from speakerwright.chain.requests import run, start
from speakerwright.chain.search import found_in, search_request
from speakerwright.chain.store import Store
from speakerwright.design.file import read_project
from speakerwright.workbench.pages import bass_search
from speakerwright.workbench.parts import Button
from speakerwright.workbench.session import written
from workbench.pages import Tabs, copied, user_at

ASKED = replace(SMALL, counts=(1,), volumes=6)


@pytest.fixture
def tabs(monkeypatch):
    monkeypatch.setattr(bass_search, "search_request", partial(search_request, asked=ASKED))
    return Tabs(monkeypatch)


@pytest.fixture(autouse=True)
def no_error_is_logged(caplog):
    yield
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert not told, [r.getMessage() for r in told]


@pytest.fixture
def desk(tmp_path):
    return copied("desk-pair", tmp_path / "desk")


def test_what_is_kept_is_shown_sorted_and_taken_as_one_step(tabs, desk):
    design = read_project(desk).design
    request = search_request(design, "main", ASKED, folder=desk)
    found = found_in(run(request, Store(desk)))

    async def scenario():
        async with user_at(desk, "/bass") as user:
            await user.should_see("stand on the front", retries=60)
            deepest = min(found.members, key=lambda m: m.extension).candidate
            user.find(marker="sort:lowest").click()
            shown = [m for b in sorted(user.find(kind=Button).elements, key=lambda b: b.id)
                     for m in b._markers if m.startswith("take:")]
            assert shown[0] == f"take:{deepest.number}"
            assert len(shown) == min(len(found.members), bass_search.MOST)
            user.find(marker=f"take:{deepest.number}").click()
            session = tabs.session
            assert written(session.design, "bass.main.loading") == deepest.loading
            assert session.design.decided.bass["main"].volume == pytest.approx(deepest.volume)
            assert len(session.done) == 1
            assert session.undo()
            assert written(session.design, "bass.main.volume") == "14.5 L"
            await asyncio.sleep(0.1)

    asyncio.run(scenario())


def test_in_a_process_of_its_own_it_finds_the_same(desk):
    """Such a process may start no others, so it works alone whatever is asked."""
    design = read_project(desk).design
    request = search_request(design, "main", ASKED, workers=2)
    assert found_in(start(request).result(120.0)) == found_in(request.made(lambda *_: None))
