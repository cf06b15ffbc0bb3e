"""Plant each fault in a copy of the source, one at a time, and see whether some test turns red.

``python tests/planted/run.py`` plants all of them and writes docs/proof/planted-faults.md; words
given to it choose modules. The tree itself is never edited.
"""

from __future__ import annotations

import datetime
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PAGE = ROOT / "docs" / "proof" / "planted-faults.md"
sys.path.insert(0, str(HERE.parent))

from planted.faults import FAULTS, Fault  # noqa: E402

# Where a module's faults should show, the nearest tests first.
NEAREST = {
    "circuits": ("tests/circuits", "tests/published/test_ngspice_cases.py", "tests/bass"),
    "bass": ("tests/bass", "tests/published/test_small_vented_circuit.py"),
    "design": ("tests/design/test_motor.py", "tests/design/test_motor_by_hand.py"),
    "drivers": ("tests/drivers/test_drivers_agreement.py",),
    "cabinet": ("tests/design/test_three_way.py", "tests/cabinet"),
    "brief": ("tests/brief",),
}


@dataclass(frozen=True)
class Outcome:
    """What became of one fault: the file that caught it, or none."""

    fault: Fault
    caught_by: str | None


def targets(module: str) -> tuple[str, ...]:
    """Test files and folders for a module, the nearest first."""
    package, *inside = module.split("/")  # the last name ends in .py
    if package == "acoustics":
        nearest = f"tests/acoustics/test_{'_'.join(inside)}"
        return (nearest, "tests/published", "tests/circuits", "tests/bass")
    return NEAREST[package]


def plant(fault: Fault, folder: Path) -> Path:
    """A copy of the source with the fault in it."""
    source = folder / "src"
    shutil.copytree(ROOT / "src", source, ignore=shutil.ignore_patterns("*.egg-info"))
    path = source / "speakerwright" / fault.module
    text = path.read_text(encoding="utf-8")
    pieces = text.split(fault.old)
    if len(pieces) <= fault.occurrence + 1:
        raise ValueError(f"{fault.module} no longer has {fault.old!r}")
    k = fault.occurrence
    path.write_text(
        fault.old.join(pieces[: k + 1]) + fault.new + fault.old.join(pieces[k + 1 :]),
        encoding="utf-8",
    )
    return source


def red(source: Path, tests: tuple[str, ...], folder: Path) -> str | None:
    """The first test file that turns red with this source, or None."""
    missing = [test for test in tests if not (ROOT / test).exists()]
    if missing:
        raise FileNotFoundError(missing[0])
    there = [str(ROOT / test) for test in tests]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-x", "-q", "-c", str(ROOT / "pyproject.toml"),
         "--rootdir", str(ROOT), "-o", "addopts=--strict-markers --benchmark-disable",
         "-m", "not prove", "-p", "no:cacheprovider", "--hypothesis-seed=1", "--tb=no", "-rfE",
         *there],
        capture_output=True, text=True, cwd=folder, check=False,
        env={**os.environ, "PYTHONPATH": str(source), "PYTHONDONTWRITEBYTECODE": "1",
             "OPENBLAS_NUM_THREADS": "1"},
    )
    if done.returncode == 0:
        return None
    found = re.search(r"^(?:FAILED|ERROR) (?:\S*?)(tests/\S+?\.py)", done.stdout, re.MULTILINE)
    if found is None:
        raise RuntimeError(done.stdout[-2000:] + done.stderr[-2000:])
    return found[1].removeprefix("tests/")


def outcome(fault: Fault) -> Outcome:
    """Plant one fault and look."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return Outcome(fault, red(plant(fault, folder), targets(fault.module), folder))


def green(modules: set[str]) -> str | None:
    """The first test file that is red with nothing planted, or None."""
    tests = tuple(dict.fromkeys(test for module in sorted(modules) for test in targets(module)))
    with tempfile.TemporaryDirectory() as name:
        return red(ROOT / "src", tests, Path(name))


def plant_all(faults: tuple[Fault, ...]) -> list[Outcome]:
    """All of them, two at a time, in order."""
    spoiled = green({fault.module for fault in faults})
    if spoiled is not None:
        raise SystemExit(f"{spoiled} is red with nothing planted")
    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(outcome, faults))


def page(outcomes: list[Outcome], seconds: float) -> str:
    """The table for docs/proof."""
    missed = [o for o in outcomes if o.caught_by is None]
    lines = [
        "# Planted faults",
        "",
        "Made by `python tests/planted/run.py`: each constant or term is put wrong in a copy of "
        "the source, one part in a hundred (0.1 dB for tabulated levels) unless marked as a slip, "
        "and the tests run against it. A fault is caught when a test turns red; the file named is "
        "the first that did. The list is in `tests/planted/faults.py`.",
        "",
        f"Date: {datetime.date.today().isoformat()}. Machine: 2 cores. Planted: {len(outcomes)}. "
        f"Caught: {len(outcomes) - len(missed)}. Time: {seconds / 60:.0f} minutes.",
        "",
        "| module | constant or term | caught by |",
        "|---|---|---|",
    ]
    lines += [
        f"| `{o.fault.module}` | {o.fault.what} | "
        + (f"`{o.caught_by}` |" if o.caught_by else "NOT caught |")
        for o in outcomes
    ]
    return "\n".join(lines) + "\n"


def main(words: list[str]) -> None:
    """Plant all faults, or those of the modules named, and report."""
    chosen = tuple(f for f in FAULTS if not words or any(word in f.module for word in words))
    start = time.monotonic()
    outcomes = plant_all(chosen)
    for o in outcomes:
        if o.caught_by is None:
            print(f"NOT caught: {o.fault.module}: {o.fault.what}")
    print(f"{sum(o.caught_by is not None for o in outcomes)} of {len(outcomes)} caught, "
          f"{time.monotonic() - start:.0f} s")
    if not words:
        PAGE.parent.mkdir(parents=True, exist_ok=True)
        PAGE.write_text(page(outcomes, time.monotonic() - start), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
