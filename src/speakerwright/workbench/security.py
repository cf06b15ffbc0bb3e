"""Who may talk to the workbench: a browser on this machine, on a page that the workbench served.

A page of some other site, open in the same browser, can send requests to this machine. It is told
apart by the headers Host and Origin, which a page cannot forge.
"""

from __future__ import annotations

import logging
import tempfile
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"
_NAMES = (HOST, "localhost")
_READING = ("GET", "HEAD")

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self' ws://127.0.0.1:{port} ws://localhost:{port} data: blob:; "
    "worker-src 'self' blob:; object-src 'self'; frame-src 'self' blob:; "
    "frame-ancestors 'self'; form-action 'self'; base-uri 'self'"
)
"""What a page may load: nothing but what this machine serves."""


def refusal(kind: str, method: str, headers: Mapping[str, str], port: int) -> str:
    """Why a request is refused, or an empty text.

    Parameters
    ----------
    kind : {"http", "websocket"}
    method : str
        Empty for a web socket.
    headers : mapping
        Names in small letters.
    port : int
        The one that the workbench listens on.
    """
    here = {f"{name}:{port}" for name in _NAMES} | (set(_NAMES) if port == 80 else set())
    if headers.get("host", "").lower() not in here:
        return "This address is not the workbench's own."
    origin = headers.get("origin")
    if origin is not None:
        ours = {f"http://{name}" for name in here}
        return "" if origin.lower() in ours else "Another site asks; it gets nothing."
    if kind == "websocket" or method not in _READING:
        return "It does not say which page asks."
    if headers.get("sec-fetch-site") == "cross-site" and (
        headers.get("sec-fetch-mode") != "navigate"
    ):
        return "Another site asks; it gets nothing."
    return ""


class OnlyHere:
    """ASGI middleware that lets only this machine's own pages in."""

    def __init__(self, app: App, port: int) -> None:
        self.app, self.port = app, port
        self._policy = POLICY.format(port=port).encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        kind = scope["type"]
        if kind not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value.decode("latin-1")
                   for name, value in scope["headers"]}
        why = refusal(kind, scope.get("method", ""), headers, self.port)
        if why:
            logging.getLogger("speakerwright").warning("refused a request: %s", why)
            await _refuse(kind, why, receive, send)
            return
        await self.app(scope, receive, self._with_policy(send))

    def _with_policy(self, send: Send) -> Send:
        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [
                    *message.get("headers", ()),
                    (b"content-security-policy", self._policy),
                    (b"x-content-type-options", b"nosniff"),
                    (b"referrer-policy", b"no-referrer"),
                ]
            await send(message)

        return sent


async def _refuse(kind: str, why: str, receive: Receive, send: Send) -> None:
    if kind == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": why})
        return
    body = why.encode()
    await send({"type": "http.response.start", "status": 403,
                "headers": [(b"content-type", b"text/plain; charset=utf-8"),
                            (b"content-length", str(len(body)).encode())]})
    await send({"type": "http.response.body", "body": body})


def log_to(folder: Path) -> Path:
    """Write the workbench's log beside the project, or where it cannot, into a temporary folder.

    Returns the file's path.
    """
    place = folder / ".work"
    try:
        place.mkdir(exist_ok=True)
        handler = _handler(place / "workbench.log")
    except OSError:
        place = Path(tempfile.mkdtemp(prefix="speakerwright-"))
        handler = _handler(place / "workbench.log")
    for name in ("speakerwright", "nicegui", "uvicorn.error"):
        logger = logging.getLogger(name)
        for old in [h for h in logger.handlers if isinstance(h, RotatingFileHandler)]:
            logger.removeHandler(old)
            old.close()
        logger.addHandler(handler)
    return place / "workbench.log"


def _handler(path: Path) -> RotatingFileHandler:
    handler = RotatingFileHandler(path, maxBytes=1_000_000, backupCount=1, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    return handler
