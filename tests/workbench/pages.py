"""A simulated user of the workbench, and the tabs it has open."""

from __future__ import annotations

import asyncio
import shutil
from contextlib import asynccontextmanager
from pathlib import Path

from nicegui import Client
from nicegui.testing.user_simulation import user_simulation

from speakerwright.workbench import app

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"


def copied(name: str, to: Path) -> Path:
    source = EXAMPLES / name if (EXAMPLES / name).exists() else ROOT / name
    shutil.copytree(source, to, ignore=shutil.ignore_patterns("out", ".work"))
    return to


class Tabs:
    """The benches that were made while it is in force."""

    def __init__(self, monkeypatch):
        self.benches = []
        made = self.benches

        class Recorded(app.Bench):
            def __init__(self, *args):
                super().__init__(*args)
                made.append(self)

        monkeypatch.setattr(app, "Bench", Recorded)

    @property
    def bench(self):
        return self.benches[-1]

    @property
    def session(self):
        return self.bench.session


@asynccontextmanager
async def user_at(folder: Path, path: str):
    async with user_simulation(app.root(folder)) as user:
        try:
            await user.open(path)
            yield user
        finally:
            for client in list(Client.instances.values()):
                client.delete()
            await asyncio.sleep(0.05)  # what is on its way to the pages ends


async def until(condition, seconds=20.0):
    for _ in range(int(seconds / 0.02)):
        if condition():
            return
        await asyncio.sleep(0.02)
    raise AssertionError("it did not come about")


def element(user, mark):
    (found,) = user.find(marker=mark).elements
    return found


async def put(user, path, text):
    """Type over a field and leave it."""
    user.find(marker=path).clear().type(text)
    user.find(marker=path).trigger("blur")
    await asyncio.sleep(0)
