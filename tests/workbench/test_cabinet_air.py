"""The air inside on the cabinet page: folded, asked for, stopped, drawn, stale after an edit."""

from __future__ import annotations

import asyncio
import logging

import pytest

from speakerwright.workbench.charts import LiveChart

from .pages import Tabs, copied, put, until, user_at


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture(autouse=True)
def no_error_is_logged(caplog):
    yield
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert not told, [r.getMessage() for r in told]


def test_it_is_worked_out_on_request_and_stopped(tabs, tmp_path):
    desk = copied("desk-pair", tmp_path / "desk")

    async def scenario():
        async with user_at(desk, "/cabinet") as user:
            await user.should_see("Air inside")
            user.find("Work out the air inside").click()
            job = tabs.bench.jobs.job("air main")
            await until(lambda: job._running is not None, 60.0)
            user.find("Cancel").click()
            await until(lambda: not job.busy, 20.0)
            await user.should_see("Stopped. Nothing of it was kept.")
            user.find("Work out the air inside").click()
            await until(lambda: job.outcome is not None, 120.0)
            (chart,) = [c.chart for c in user.find(LiveChart).elements
                        if c.chart is not None and c.chart.key == "cabinet-main-air-cone"]
            assert [curve.name for curve in chart.curves] == ["as built"]
            await user.should_see("1 up")
            await put(user, "cabinet.depth", "280 mm")
            await user.should_see("This is for an earlier state of the design")

    asyncio.run(scenario())
