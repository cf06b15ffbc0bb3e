"""A wheel built from the tree works in an empty environment with no source tree near it."""

from __future__ import annotations

import shutil
import subprocess
import sys
import venv
from pathlib import Path

TREE = Path(__file__).parents[1]


def _run(*command: str | Path, cwd: Path) -> str:
    done = subprocess.run([str(part) for part in command], cwd=cwd, text=True,
                          capture_output=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_wheel_runs_the_example_in_an_empty_environment(tmp_path: Path) -> None:
    copy = tmp_path / "tree"
    copy.mkdir()
    for name in ("pyproject.toml", "setup.py", "MANIFEST.in", "README.md", "LICENSE"):
        shutil.copy(TREE / name, copy)
    shutil.copytree(TREE / "docs", copy / "docs", ignore=shutil.ignore_patterns("pictures"))
    shutil.copytree(TREE / "src", copy / "src",
                    ignore=shutil.ignore_patterns("*.egg-info", "__pycache__"))
    _run(sys.executable, "-m", "pip", "wheel", "--no-deps", "-q", "-w", tmp_path, copy,
         cwd=tmp_path)
    wheel = next(tmp_path.glob("speakerwright-*.whl"))
    shutil.rmtree(copy)
    empty = tmp_path / "empty"
    venv.create(empty, with_pip=True)
    python = empty / "bin" / "python"
    _run(python, "-m", "pip", "install", "-q", "-r", TREE / "requirements.txt", wheel,
         cwd=tmp_path)
    helped = "from speakerwright.workbench.help import rendered; print(rendered('bass'))"
    assert "<h3>One circuit</h3>" in _run(python, "-c", helped, cwd=tmp_path)
    project = tmp_path / "hall"
    shutil.copytree(TREE / "examples" / "harbour-hall", project,
                    ignore=shutil.ignore_patterns("out", ".work"))
    command = empty / "bin" / "speakerwright"
    assert "bass" in _run(command, "check", project, cwd=tmp_path)
    _run(command, "plan", project, cwd=tmp_path)
    assert (project / "out" / "plan.pdf").read_bytes().startswith(b"%PDF")
    _run(command, "new", tmp_path / "mine", cwd=tmp_path)
    _run(command, "check", tmp_path / "mine", cwd=tmp_path)
