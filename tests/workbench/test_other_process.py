"""Whether another process is at work: asked once, for edits left and for what a save left."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from speakerwright.design.file import still_runs, write_text
from speakerwright.workbench import recovery


@pytest.fixture
def other():
    process = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    yield process
    process.communicate()


def test_a_process_runs_until_it_has_ended(other):
    assert still_runs(os.getpid()) is True
    assert still_runs(other.pid) is True
    other.communicate()
    assert still_runs(other.pid) is False
    assert still_runs(10**30) is False


def test_what_another_running_process_left_is_not_taken(other, tmp_path):
    recovery.keep(tmp_path, "tab", {"plan.title": "Mine"})
    assert recovery.read(tmp_path, "tab").changes == {"plan.title": "Mine"}
    path = tmp_path / ".work" / "session-tab.json"
    kept = json.loads(path.read_text())
    path.write_text(json.dumps({**kept, "process": other.pid}))
    assert recovery.read(tmp_path, "tab") is None
    assert recovery.read(tmp_path, "tab", mine=True) is not None
    other.communicate()
    assert recovery.read(tmp_path, "tab") is not None


def test_what_a_running_save_has_beside_its_file_is_not_swept_up(other, tmp_path):
    target = tmp_path / "design.toml"
    beside = tmp_path / f".design.toml.{other.pid}.abcdefgh.part"
    beside.touch()
    write_text(target, "one")
    assert beside.exists()
    other.communicate()
    write_text(target, "two")
    assert not beside.exists()
