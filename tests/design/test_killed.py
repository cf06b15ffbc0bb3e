"""A save that is killed leaves the old file or the new one, whole."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from .folders import HALL, copied


@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks its children")
def test_two_hundred_killed_saves_leave_whole_files(tmp_path):
    folder = copied(HALL, tmp_path / "hall")
    done = subprocess.run(
        [sys.executable, str(Path(__file__).parent / "kill_saves.py"), str(folder), "20260301"],
        capture_output=True, text=True, timeout=120, check=False,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )
    assert done.stderr == ""
    found = json.loads(done.stdout)
    assert found["torn"] == 0
    assert found["seen"] == 2  # it was killed behind saves of either design
    assert max(found["left"]) == 1  # only what the last kill left
    assert sum(found["left"]) >= 5  # so many were killed in the middle of a save
    assert found["end"] == ["design.toml", "records"]
