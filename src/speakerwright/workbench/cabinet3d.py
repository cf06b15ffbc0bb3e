"""The cabinet as a solid on the page: panels and bodies that can be turned, cut and taken apart."""

from __future__ import annotations

import json
import secrets
import weakref
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import nicegui.elements.scene
import numpy as np
from nicegui import ui
from nicegui.dependencies import dynamic_resources
from nicegui.events import GenericEventArguments
from numpy.typing import NDArray
from starlette.responses import Response

from speakerwright.solids.assembly import Collision
from speakerwright.solids.bodies import Body
from speakerwright.solids.meshes import triangles
from speakerwright.solids.panels import Panel
from speakerwright.workbench.charts import font_folder, palettes

__all__ = ["CabinetView", "Overlapping", "mesh_parts", "sharp_edges"]

_ = nicegui.elements.scene  # it registers the three.js module that the page imports

OUTER = ("baffle", "back", "side", "top", "bottom", "shoulder")
"""Roles of panels that can be seen through, to what stands inside."""

SHARP_DEG = 20.0
"""Angle between two faces from which their common edge is drawn."""


@dataclass(frozen=True)
class Overlapping:
    """Parts that want the same place: their names, and what is said of it over the picture."""

    names: tuple[str, ...]
    label: str


Fouled: TypeAlias = "Overlapping | Collision | Sequence[str] | str"


def sharp_edges(positions: NDArray[Any], indices: NDArray[Any],
                angle_deg: float = SHARP_DEG) -> NDArray[np.uint32]:
    """The edges of a closed mesh where two faces meet at an angle.

    Parameters
    ----------
    positions : ndarray, shape (n, 3)
        Corners, each once.
    indices : ndarray, shape (m, 3)
        Triangles.
    angle_deg : float
        The smallest angle between two faces' normals that is drawn.

    Returns
    -------
    ndarray of uint32, shape (k, 2)
        Pairs of corners. An edge of one face alone is drawn too.
    """
    faces = np.asarray(indices, dtype=np.int64).reshape(-1, 3)
    corners = np.asarray(positions, dtype=np.float64)[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(doubled, 1e-12)[:, None]
    pairs = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    owner = np.repeat(np.arange(len(faces)), 3)
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    pairs, owner = pairs[order], owner[order]
    new = np.append(True, np.any(pairs[1:] != pairs[:-1], axis=1)) if len(pairs) else np.zeros(0)
    starts = np.flatnonzero(new)
    counts = np.diff(np.append(starts, len(pairs)))
    second = np.minimum(starts + 1, len(pairs) - 1)
    level = np.einsum("ij,ij->i", normals[owner[starts]], normals[owner[second]])
    sharp = (counts != 2) | (level < np.cos(np.radians(angle_deg)))
    return np.asarray(pairs[starts[sharp]], dtype=np.uint32)


def mesh_parts(panels: Iterable[Panel], bodies: Iterable[Body],
               colours: Mapping[str, str] | None = None) -> list[dict[str, Any]]:
    """Panels and bodies as meshes for `CabinetView.show`; plugs of air are left out.

    Parameters
    ----------
    panels, bodies : iterable of Panel, of Body
        The cabinet, world mm.
    colours : mapping, optional
        One of `palette.PARTS` by a part's name, for those that carry a part's colour.

    Returns
    -------
    list of dict
        ``name``, ``kind`` ("panel" or the body's), ``role`` (the panel's), ``part`` (colour or
        ""), ``positions`` float32 (n, 3) in mm, ``indices`` uint32 (m, 3), ``edges`` uint32 (k, 2).
    """
    given = colours or {}
    found = [(panel.name, "panel", panel.role, panel.solid()) for panel in panels]
    found += [(body.name, body.kind, "", body.solid) for body in bodies
              if body.kind != "air plug"]
    made = []
    for name, kind, role, solid in found:
        points, faces = triangles(solid)
        if len(faces):
            made.append({
                "name": name, "kind": kind, "role": role, "part": given.get(name, ""),
                "positions": points.astype(np.float32), "indices": faces.astype(np.uint32),
                "edges": sharp_edges(points, faces),
            })
    return made


def packed_parts(parts: Sequence[Mapping[str, Any]],
                 collisions: Sequence[Fouled]) -> bytes:
    """Parts and collisions as one message: length of the header, header, corners and triangles.

    Parameters
    ----------
    parts : sequence of mapping
        As from `mesh_parts`; ``role``, ``part`` and ``edges`` may be absent.
    collisions : sequence
        `Collision`s, or the names that collide, as a pair or alone, or as a pair with what is
        to be said of it.
    """
    blocks: list[bytes] = []
    size = 0

    def put(values: Any, kind: str) -> tuple[int, int]:
        nonlocal size
        flat = np.ravel(np.asarray(values)).astype(kind)
        place = (size, int(flat.size))
        blocks.append(flat.tobytes())
        size += flat.nbytes
        return place

    listed = []
    for part in parts:
        positions, indices = np.asarray(part["positions"]), np.asarray(part["indices"])
        edges = part.get("edges")
        if edges is None:
            edges = sharp_edges(positions.reshape(-1, 3), indices)
        listed.append({
            "name": str(part["name"]), "kind": str(part.get("kind", "")),
            "role": str(part.get("role", "")), "part": str(part.get("part", "")),
            "outer": str(part.get("role", "")) in OUTER,
            "positions": put(positions, "<f4"), "indices": put(indices, "<u4"),
            "edges": put(edges, "<u4"),
        })
    fouls = [_fouled(collision) for collision in collisions]
    header = {
        "parts": listed,
        "collisions": [{"names": names, "label": label} for names, label in fouls],
        "words": _words(listed, [label for _, label in fouls]),
    }
    text = json.dumps(header).encode("utf-8")
    text += b" " * (-len(text) % 4)
    return len(text).to_bytes(4, "little") + text + b"".join(blocks)


def _fouled(collision: Fouled) -> tuple[list[str], str]:
    """The names that collide, and what is said of it."""
    if isinstance(collision, Overlapping):
        return list(collision.names), collision.label
    if isinstance(collision, Collision):
        names = [collision.a, collision.b]
    else:
        names = [collision] if isinstance(collision, str) else [str(name) for name in collision]
    return names, "Collision: " + " and ".join(names)


def _words(parts: Sequence[Mapping[str, Any]], fouls: Sequence[str]) -> str:
    """The solid in words, for those who do not see it."""
    panels = sum(part["kind"] == "panel" for part in parts)
    said = f"Cabinet, {panels} panels and {len(parts) - panels} other parts."
    if not fouls:
        return f"{said} No collision is shown."
    return f"{said} Collisions: {'; '.join(word.removeprefix('Collision: ') for word in fouls)}."


class CabinetView(ui.element, component="static/cabinet_view.js",
                  esm={"speakerwright-solids": "static/solids"}):
    """The solid on the page, drawn in the browser and only when something has moved.

    Parameters
    ----------
    units : {"mm", "inch"}
        In which lengths are read out.
    height_px : int
        Height of the picture on the page.
    """

    def __init__(self, units: Literal["mm", "inch"] = "mm", height_px: int = 440) -> None:
        super().__init__()
        token = f"solids-{secrets.token_urlsafe(16)}"
        self.props["palettes"] = palettes()
        self.props["token"] = token
        self.props["units"] = units
        self.props["height"] = height_px
        self.add_resource(font_folder())
        self._token = token
        self._content = packed_parts([], [])
        self._revision = 0
        self._sent = 0
        self._on_screen = False
        self._handlers: list[Callable[[str | None], Any]] = []
        self.chosen: str | None = None
        here = weakref.ref(self)

        def newest() -> Response:
            view = here()
            content = view._content if view is not None else packed_parts([], [])
            return Response(content, media_type="application/octet-stream",
                            headers={"Cache-Control": "no-store"})

        self.add_dynamic_resource(token, newest)
        self.on("seen", self._seen)
        self.on("chosen", self._chosen)

    def show(self, parts: Sequence[Mapping[str, Any]],
             collisions: Sequence[Fouled] = ()) -> None:
        """Show other parts, see `packed_parts`; the eye, the cut and the choice stay.

        Outer walls are those whose ``role`` is in `OUTER`: they can be made see-through.
        """
        content = packed_parts(parts, collisions)
        if content == self._content:
            return
        self._content = content
        self._revision += 1
        self._send()

    def set_units(self, units: Literal["mm", "inch"]) -> None:
        """Read lengths out in other units from now on."""
        self.props["units"] = units
        self.update()

    def on_select(self, handler: Callable[[str | None], Any]) -> None:
        """Call `handler` with a part's name when it is chosen, with None when nothing is."""
        self._handlers.append(handler)

    def _chosen(self, event: GenericEventArguments) -> None:
        name = event.args.get("name")
        self.chosen = name
        for handler in self._handlers:
            handler(name)

    def _seen(self, event: GenericEventArguments) -> None:
        self._on_screen = bool(event.args.get("visible"))
        if event.args.get("fresh"):
            self._sent = 0
        self._send()

    def _send(self) -> None:
        if self._on_screen and not self.is_deleted and self._sent != self._revision:
            self._sent = self._revision
            self.run_method("load", self._revision)

    def _handle_delete(self) -> None:
        dynamic_resources.pop(self._token, None)
        super()._handle_delete()
