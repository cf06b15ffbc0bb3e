"""Weight, lifting and standing on the cabinet page: shown folded, once, and following the wind."""

from __future__ import annotations

import asyncio

from speakerwright.cabinet.safety_pages import TITLE
from speakerwright.workbench.pages.cabinet import drawn
from speakerwright.workbench.parts import Html

from .pages import Tabs, copied, put, until, user_at


def shown(user):
    return [part.content for part in user.find(Html).elements if "Recommended" in part.content]


def test_the_fold_tells_lifting_and_wind_and_the_wind_can_be_typed(monkeypatch, tmp_path):
    tabs = Tabs(monkeypatch)

    async def scenario():
        async with user_at(copied("quay-stage", tmp_path / "copy"), "/cabinet") as user:
            await until(lambda: tabs.bench.current is not None)
            await user.should_see(TITLE)
            await until(lambda: len(shown(user)) == 1)
            assert "Centre of gravity" in shown(user)[0]
            assert "asked" not in shown(user)[0]
            await put(user, "brief.place.wind", "20 m/s")
            await until(lambda: "asked 20.0" in shown(user)[0])
            (found,) = [f for f in tabs.bench.findings()["cabinet"] if f.rule == "wind_stands"]
            assert found.limit == 20.0
            tables, _, _ = drawn(tabs.bench.current, "metric")
            assert "Recommended" not in tables  # it stands in the fold alone

    asyncio.run(scenario())
