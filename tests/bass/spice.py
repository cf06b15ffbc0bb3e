"""Running ngspice, and circuits for it written from physical figures apart from the program."""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

PROGRAM = shutil.which("ngspice")


def need_ngspice() -> None:
    """Skip without ngspice, but fail where CI is set."""
    if PROGRAM is None:
        if os.environ.get("CI"):
            pytest.fail("ngspice is missing; install Debian's package of that name")
        pytest.skip("ngspice is not installed")


def run(deck: str, folder: Path) -> list[dict[str, float]]:
    """Run a deck in batch; every printed figure, one dictionary for each round of prints."""
    need_ngspice()
    path = folder / "circuit.cir"
    path.write_text(deck, encoding="utf-8")
    done = subprocess.run(
        [str(PROGRAM), "-b", str(path)], capture_output=True, text=True, timeout=60, check=False,
        cwd=folder,
    )
    rounds: list[dict[str, float]] = []
    for name, value in re.findall(r"^(\S+) = (\S+)$", done.stdout, re.MULTILINE):
        if not rounds or name in rounds[-1]:
            rounds.append({})
        rounds[-1][name] = float(value)
    assert rounds, done.stdout + done.stderr
    return rounds


def asked(deck_body: str, frequencies, wanted: tuple[str, ...]) -> str:
    """A deck with its analyses: prints the complex `wanted` at every frequency."""
    prints = " ".join(f"real({w}) imag({w})" for w in wanted)
    control = "\n".join(f"ac lin 1 {f!r} {f!r}\nprint {prints}" for f in map(float, frequencies))
    return f"{deck_body}\n.control\nset numdgt=16\n{control}\nquit\n.endc\n.end\n"


def column(rounds: list[dict[str, float]], name: str) -> np.ndarray:
    """One complex quantity over the rounds."""
    return np.array([r[f"real({name})"] + 1j * r[f"imag({name})"] for r in rounds])


def deck(box: dict) -> str:
    """An ngspice circuit of N real drivers on one box, by the impedance analogy.

    `box` holds: re, bl, mms, cms, rms, sd, le, l2, r2 of each driver (l2 None for a plain coil),
    count, series, source, capacitor (None), volume, density, speed, leak_q, absorption_q (None),
    port_area, port_length, port_loss (port_area None for closed).
    """
    n, sd = box["count"], box["sd"]
    compliance = box["volume"] / (box["density"] * box["speed"] ** 2)
    omega = math.sqrt(1 / (box["mms"] * box["cms"]) + n * sd**2 / (box["mms"] * compliance))
    lines = ["* drivers in a box", "V1 src 0 AC 1", f"Rsource src t0 {box['source']!r}"]
    if box["capacitor"] is None:
        lines.append("Vlink t0 top 0")
    else:
        lines.append(f"Cseries t0 top {box['capacitor']!r}")
    for k in range(n):
        top = "top" if k == 0 or not box["series"] else f"link{k}"
        bottom = "0" if k == n - 1 or not box["series"] else f"link{k + 1}"
        lines += _driver(box, k, top, bottom)
    lines.append("Vair box air 0")
    if box["absorption_q"] is None:
        lines.append(f"Cair air 0 {compliance!r}")
    else:
        loss = 1 / (box["absorption_q"] * omega * compliance)
        lines += [f"Cair air lined {compliance!r}", f"Rlined lined 0 {loss!r}"]
    if box["leak_q"] is not None:
        lines.append(f"Rleak box 0 {box['leak_q'] / (omega * compliance)!r}")
    if box["port_area"] is not None:
        mass = box["density"] * box["port_length"] / box["port_area"]
        lines += [f"Lport box port {mass!r}", f"Rport port 0 {box['port_loss']!r}"]
    lines.append("Rbig box 0 1e15")
    return "\n".join(lines)


def _driver(box: dict, k: int, top: str, bottom: str) -> list[str]:
    lines = [f"Re{k} {top} a{k} {box['re']!r}", f"Le{k} a{k} b{k} {box['le']!r}"]
    if box["l2"] is None:
        lines.append(f"Vse{k} b{k} d{k} 0")
    else:
        lines += [f"L2{k} b{k} c{k} {box['l2']!r}", f"R2{k} b{k} c{k} {box['r2']!r}",
                  f"Vse{k} c{k} d{k} 0"]
    return [
        *lines,
        f"Hemf{k} d{k} {bottom} Vsm{k} {box['bl']!r}",
        f"Hf{k} m{k} 0 Vse{k} {box['bl']!r}",
        f"Vsm{k} m{k} n{k} 0",
        f"Rms{k} n{k} o{k} {box['rms']!r}",
        f"Lmm{k} o{k} p{k} {box['mms']!r}",
        f"Ccm{k} p{k} q{k} {box['cms']!r}",
        f"Eb{k} q{k} 0 box 0 {box['sd']!r}",
        f"Fu{k} 0 box Vsm{k} {box['sd']!r}",
    ]
