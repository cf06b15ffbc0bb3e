"""The same project folder gives the same plan, anywhere and at any time."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

EXAMPLE = Path(__file__).parents[1] / "examples" / "harbour-hall"

SCRIPT = """
import sys, time, datetime
shift = float(sys.argv[2])
real = time.time
time.time = lambda: real() + shift
class Later(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return datetime.datetime.fromtimestamp(time.time(), tz)
class Day(datetime.date):
    @classmethod
    def today(cls):
        return datetime.date.fromtimestamp(time.time())
datetime.datetime, datetime.date = Later, Day
sys.argv = ["speakerwright", "plan", sys.argv[1], "--out", sys.argv[3]]
from speakerwright.cli import main
main()
"""


def _plan(folder: Path, out: Path, shift: float, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(folder), str(shift), str(out)],
        cwd=folder.parent, env={**os.environ, **environment}, capture_output=True, text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return hashlib.sha256(out.read_bytes()).hexdigest()


def test_another_day_directory_locale_and_time_zone(tmp_path: Path) -> None:
    one, other = tmp_path / "a", tmp_path / "deeper" / "b c"
    for folder in (one, other):
        shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("out", ".work"))
    first = _plan(one, tmp_path / "1.pdf", 0.0, TZ="UTC", LC_ALL="C", PYTHONHASHSEED="1")
    second = _plan(other, tmp_path / "2.pdf", 86400.0 * 400, TZ="Pacific/Auckland",
                   LC_ALL="de_DE.UTF-8", LANG="de_DE.UTF-8", PYTHONHASHSEED="2",
                   SOURCE_DATE_EPOCH="1000000000")
    assert first == second
