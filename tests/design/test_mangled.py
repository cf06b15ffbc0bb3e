"""Files mangled at random are read, or refused in plain sentences; nothing else happens."""

from __future__ import annotations

import random
import time

import pytest

from speakerwright import chain
from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors

from .folders import HALL, THREE_WAY, copied

PIECES = [b'"', b"'", b"[", b"]", b"{", b"}", b"=", b".", b"\n", b"#", b",", b"\x00", b"\xff",
          b"-", b"nan", b"inf", b"true", b"1e999", b"0x", b"\\u0000", b'"""', b" mm", b" L",
          b"low", b"_", b"9" * 50, b"[[", b"]]", b"{}", b"[]", b'""', "\u202e".encode()]


def mangled(data, chance):
    """The bytes with a piece put in, taken out or replaced, a line dropped, or values swapped."""
    at = chance.randrange(len(data) + 1)
    to = min(len(data), at + chance.choice([1, 2, 5, 20]))
    lines = data.split(b"\n")
    way = chance.randrange(5)
    if way < 3:
        piece = b"" if way == 0 else chance.choice(PIECES)
        return data[:at] + piece + data[at if way == 1 else to :]
    k = chance.randrange(len(lines))
    if way == 3:
        return b"\n".join(lines[:k] + lines[k + 1 :])
    value = lines[chance.randrange(len(lines))].partition(b"=")[2]
    lines[k] = lines[k].partition(b"=")[0] + b"=" + value
    return b"\n".join(lines)


def trial(folder, chance):
    """One mangled file of a project: how it ended, or the sentences it was refused with."""
    file = chance.choice(sorted(folder.rglob("*.toml")))
    before = data = file.read_bytes()
    for _ in range(chance.randint(1, 3)):
        data = mangled(data, chance)
    file.write_bytes(data)
    try:
        workup = chain.work(read_project(folder).design)
        assert all(finding.text() for finding in workup.all_findings)
        return "read"
    except DesignErrors as wrong:
        for error in wrong.errors:
            line = str(error)
            assert line.replace("\u202f", " ").isprintable(), line
            assert len(line) < 450, line
            assert "pydantic" not in line
        return "refused"
    finally:
        file.write_bytes(before)


def mangle(tmp_path, seed, count):
    folders = [copied(HALL, tmp_path / "hall"), copied(THREE_WAY, tmp_path / "three")]
    chance = random.Random(seed)
    ends = [trial(chance.choice(folders), chance) for _ in range(count)]
    return {end: ends.count(end) for end in set(ends)}


def test_mangled_files_of_a_fixed_seed(tmp_path):
    ends = mangle(tmp_path, 20260301, 150)
    assert ends["refused"] > 90
    assert ends["read"] > 5


def test_mangled_files_of_a_fresh_seed(tmp_path):
    seed = time.time_ns()
    print(f"seed {seed}")
    assert sum(mangle(tmp_path, seed, 50).values()) == 50


@pytest.mark.prove
def test_ten_thousand_mangled_files(tmp_path, request):
    if "prove" not in request.config.option.markexpr:
        pytest.skip("a large population, run by make prove")
    seed = time.time_ns()
    print(f"seed {seed}: {mangle(tmp_path, seed, 10_000)}")
