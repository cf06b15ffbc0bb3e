"""Only this machine's own pages may ask; everybody else gets nothing."""

from __future__ import annotations

import asyncio
import logging
import stat

import pytest

from speakerwright.words.errors import DesignErrors
from speakerwright.workbench.app import _free
from speakerwright.workbench.security import OnlyHere, log_to, refusal

PORT = 8123
HERE = "127.0.0.1:8123"


@pytest.mark.parametrize(("kind", "method", "headers", "let_in"), [
    ("http", "GET", {"host": HERE}, True),
    ("http", "HEAD", {"host": "localhost:8123"}, True),
    ("http", "GET", {"host": "LOCALHOST:8123"}, True),
    ("http", "POST", {"host": HERE, "origin": "http://127.0.0.1:8123"}, True),
    ("websocket", "", {"host": HERE, "origin": "http://127.0.0.1:8123"}, True),
    ("http", "GET", {"host": HERE, "sec-fetch-site": "cross-site",
                     "sec-fetch-mode": "navigate"}, True),
    ("http", "GET", {}, False),
    ("http", "GET", {"host": "evil.example"}, False),
    ("http", "GET", {"host": "evil.example:8123"}, False),
    ("http", "GET", {"host": "127.0.0.1"}, False),
    ("http", "GET", {"host": "127.0.0.1:8124"}, False),
    ("http", "GET", {"host": "127.0.0.1:8123.evil.example"}, False),
    ("http", "GET", {"host": "0.0.0.0:8123"}, False),
    ("http", "POST", {"host": HERE}, False),
    ("http", "DELETE", {"host": HERE}, False),
    ("http", "POST", {"host": HERE, "origin": "https://evil.example"}, False),
    ("http", "GET", {"host": HERE, "origin": "https://evil.example"}, False),
    ("http", "GET", {"host": HERE, "origin": "null"}, False),
    ("http", "POST", {"host": HERE, "origin": "https://127.0.0.1:8123"}, False),
    ("http", "POST", {"host": HERE, "origin": "http://127.0.0.1:8124"}, False),
    ("http", "GET", {"host": HERE, "sec-fetch-site": "cross-site",
                     "sec-fetch-mode": "no-cors"}, False),
    ("websocket", "", {"host": HERE}, False),
    ("websocket", "", {"host": HERE, "origin": "https://evil.example"}, False),
    ("websocket", "", {"host": "evil.example", "origin": "http://127.0.0.1:8123"}, False),
])
def test_who_is_let_in(kind, method, headers, let_in):
    assert (refusal(kind, method, headers, PORT) == "") is let_in


def _ask(scope):
    """What the middleware sends, and whether the application behind it was asked."""
    asked, sent = [], []

    async def behind(scope, receive, send):
        asked.append(scope["type"])
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def receive():
        return {"type": "websocket.connect"}

    async def send(message):
        sent.append(message)

    asyncio.run(OnlyHere(behind, PORT)(scope, receive, send))
    return sent, asked


def test_a_refused_request_never_reaches_the_application():
    sent, asked = _ask({"type": "http", "method": "GET", "headers": [(b"host", b"evil.example")]})
    assert asked == []
    assert sent[0]["status"] == 403


def test_a_refused_web_socket_is_closed():
    sent, asked = _ask({"type": "websocket", "headers": [
        (b"Host", HERE.encode()), (b"Origin", b"https://evil.example")]})
    assert asked == []
    assert sent == [{"type": "websocket.close", "code": 1008,
                     "reason": "Another site asks; it gets nothing."}]


def test_an_answer_forbids_every_other_host():
    sent, asked = _ask({"type": "http", "method": "GET", "headers": [(b"host", HERE.encode())]})
    assert asked == ["http"]
    policy = dict(sent[0]["headers"])[b"content-security-policy"].decode()
    assert "default-src 'self'" in policy
    assert "ws://127.0.0.1:8123" in policy
    assert "https:" not in policy
    assert "*" not in policy


def test_start_and_end_of_the_server_pass():
    _, asked = _ask({"type": "lifespan"})
    assert asked == ["lifespan"]


@pytest.fixture
def quiet_logs():
    yield
    for name in ("speakerwright", "nicegui", "uvicorn.error"):
        for handler in list(logging.getLogger(name).handlers):
            if isinstance(handler, logging.FileHandler):
                logging.getLogger(name).removeHandler(handler)
                handler.close()


def test_the_log_stands_beside_the_project(tmp_path, quiet_logs):
    path = log_to(tmp_path)
    logging.getLogger("speakerwright").warning("a word")
    assert path == tmp_path / ".work" / "workbench.log"
    assert "a word" in path.read_text()


def test_a_folder_that_cannot_be_written_logs_elsewhere(tmp_path, quiet_logs):
    (tmp_path / ".work").write_text("a file in its place")
    path = log_to(tmp_path)
    assert tmp_path not in path.parents
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_a_taken_port_is_told():
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(DesignErrors, match="is taken"):
            _free(taken.getsockname()[1])
    with pytest.raises(DesignErrors, match="no port 80 "):
        _free(80)
