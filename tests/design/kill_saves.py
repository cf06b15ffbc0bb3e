"""Forks children that save in a loop and kills each at a random moment; prints what was left.

Run as a program of its own, so that it forks from a process of one thread.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from speakerwright.design.file import read_project, save


def saves(project, designs):
    """Save two designs in turn until killed."""
    try:
        while True:
            for design in designs:
                project = save(project, design)
    finally:
        os._exit(1)


def main():
    folder, seed = Path(sys.argv[1]), int(sys.argv[2])
    chance = random.Random(seed)
    project = read_project(folder)
    first = project.design
    second = first.with_values(
        {"bass.main.volume": "64 L", "plan.notes": ["A note.", "x" * 1500], "plan.version": "0.2"}
    )
    whole = {project.file.path.read_bytes()}
    project = save(project, second)
    whole.add(project.file.path.read_bytes())
    torn, left, seen = 0, [], set()
    for _ in range(200):
        project = read_project(folder)
        child = os.fork()
        if child == 0:
            saves(project, (first, second))
        time.sleep(chance.uniform(0.002, 0.025))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        data = (folder / "design.toml").read_bytes()
        torn += data not in whole
        seen.add(data)
        left.append(sum(path.suffix == ".part" for path in folder.iterdir()))
    project = read_project(folder)
    save(project, project.design.with_value("bass.main.volume", "63 L"))
    print(json.dumps({
        "torn": torn, "left": left, "seen": len(seen & whole),
        "end": sorted(path.name for path in folder.iterdir()),
    }))


if __name__ == "__main__":
    main()
