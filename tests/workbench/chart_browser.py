"""The page of `chart_page.py` in a browser without a screen."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
             "--disable-component-update", "--disable-sync", "--no-first-run"]
PAGE = Path(__file__).with_name("chart_page.py")


class Watched:
    """A page with what it complained of and whom it asked."""

    def __init__(self, page: Any, address: str) -> None:
        self.page, self.address = page, address
        page.set_default_timeout(25000)
        self.complaints: list[str] = []
        self.asked: set[str] = set()
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", lambda request: self.asked.add(request.url))

    def _said(self, message: Any) -> None:
        if message.type == "error":
            self.complaints.append(message.text)

    def strangers(self) -> list[str]:
        """Addresses outside our own server."""
        return sorted(url for url in self.asked
                      if not url.startswith((self.address, "data:", "blob:")))


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The page's server, on a port of its own; gives its address."""
    port = _free_port()
    address = f"http://127.0.0.1:{port}"
    clean = {name: value for name, value in os.environ.items()
             if not name.startswith(("PYTEST", "NICEGUI"))}
    with (folder / "server.log").open("w") as log:
        process = subprocess.Popen([sys.executable, str(PAGE), str(port)], cwd=folder, env=clean,
                                   stdout=log, stderr=subprocess.STDOUT)
        try:
            for _ in range(300):
                if process.poll() is not None:
                    raise RuntimeError((folder / "server.log").read_text())
                try:
                    urllib.request.urlopen(f"{address}/charts", timeout=5).close()
                    break
                except OSError:
                    time.sleep(0.1)
            yield address
        finally:
            process.terminate()
            process.wait(10)


@contextmanager
def browser() -> Iterator[Any]:
    """Debian's Chromium; without it the test is skipped, except where CI is set."""
    if not CHROMIUM.exists() and not os.environ.get("CI"):
        pytest.skip("there is no Chromium here")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        try:
            yield started
        finally:
            started.close()
