"""The panels of a rectangular box: nominal sheets, butt or rabbet joints, dividers and braces.

SI comes in and millimetres go out, in `mm` and nowhere else. The baffle and the back lie over the
full front and back; sides run between them over the full height; top and bottom, dividers, braces
and slot boards lie between the sides. With rabbets, baffle and back are rebated for the frame and
the sides for top and bottom, and the frame's parts grow into them; the inside stays the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from speakerwright.cabinet.inputs import BuiltPort
from speakerwright.cabinet.sizes import Sizes
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.solids.panels import Feature, Panel, Placement, cutout, pocket
from speakerwright.solids.shapes import rectangle, rounded_rectangle

UP = (0.0, 0.0, 1.0)
RIGHT, LEFT = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)
BACK, FRONT = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)
Slots: TypeAlias = "dict[str, tuple[BuiltPort, tuple[tuple[float, float], ...]]]"
LEAST = 0.1  # mm; a board shorter than this is none


def mm(value: float) -> float:
    """Metres to millimetres, rounded to a nanometre so that equal sizes stay equal."""
    return round(1000.0 * value, 6)


class Box:
    """Builds the panels of one cabinet; all attributes in mm."""

    def __init__(self, cabinet: Cabinet, sizes: Sizes) -> None:
        self.cabinet, self.sizes = cabinet, sizes
        self.w, self.h, self.d, self.t = (
            mm(sizes.width), mm(sizes.height), mm(sizes.depth), mm(sizes.sheet)
        )
        self.r = mm(cabinet.rabbet) if cabinet.joint == "rabbet" else 0.0
        self.material = cabinet.material

    def panels(self, baffle_features: Sequence[Feature], slots: Slots) -> tuple[Panel, ...]:
        """All panels, the baffle with its cut-outs."""
        return (
            self._front(baffle_features), self._rear(), *self._sides(), *self._ends(),
            *self._dividers(), *self._braces(), *self._slot_boards(slots),
        )

    def fitting(self, features: Sequence[Feature]) -> tuple[list[Feature], tuple[str, ...]]:
        """The features that the baffle can take, and what each other one is for."""
        kept, off = [], []
        bare = self._panel("baffle", rectangle(-0.5 * self.w, 0.0, 0.5 * self.w, self.h),
                           Placement((0.0, 0.0, 0.0), RIGHT, UP), "baffle")
        for feature in features:
            try:
                bare.with_feature(feature)
            except ValueError:
                off.append(feature.label)
                continue
            kept.append(feature)
        return kept, tuple(dict.fromkeys(off))

    def _panel(self, name: str, outline: object, placement: Placement, role: str,
               features: Sequence[Feature] = (), grain: str = "v") -> Panel:
        return Panel(name, outline, self.t, placement, tuple(features), self.material,
                     "v" if grain == "v" else "u", role)

    def _frame_rabbet(self, low: float, high: float) -> list[Feature]:
        """The rebate around a front or back panel that takes the frame."""
        if not self.r:
            return []
        inner = rectangle(low + self.t, self.t, high - self.t, self.h - self.t)
        strips = (
            rectangle(low, 0.0, low + self.t, self.h), rectangle(high - self.t, 0.0, high, self.h),
            rectangle(low + self.t, 0.0, high - self.t, self.t),
            rectangle(low + self.t, self.h - self.t, high - self.t, self.h),
        )
        assert inner.area > 0.0
        mates = ("left side", "right side", "bottom", "top")
        return [pocket(strip, self.r, "inside", f"rabbet for the {mate}", mate=mate)
                for strip, mate in zip(strips, mates, strict=True)]

    def _front(self, features: Sequence[Feature]) -> Panel:
        half = 0.5 * self.w
        return self._panel(
            "baffle", rectangle(-half, 0.0, half, self.h), Placement((0.0, 0.0, 0.0), RIGHT, UP),
            "baffle", [*features, *self._frame_rabbet(-half, half)],
        )

    def _rear(self) -> Panel:
        half = 0.5 * self.w
        return self._panel(
            "back", rectangle(-half, 0.0, half, self.h), Placement((0.0, self.d, 0.0), LEFT, UP),
            "back", self._frame_rabbet(-half, half),
        )

    def _sides(self) -> tuple[Panel, Panel]:
        deep = self.d - 2.0 * self.t + 2.0 * self.r
        made = []
        for name, x, u in (("left side", -0.5 * self.w, FRONT), ("right side", 0.5 * self.w, BACK)):
            start = self.t - self.r if u is BACK else self.d - self.t + self.r
            features = []
            if self.r:
                features = [
                    pocket(rectangle(0.0, 0.0, deep, self.t), self.r, "inside",
                           "rabbet for the bottom", mate="bottom"),
                    pocket(rectangle(0.0, self.h - self.t, deep, self.h), self.r, "inside",
                           "rabbet for the top", mate="top"),
                ]
            made.append(self._panel(
                name, rectangle(0.0, 0.0, deep, self.h), Placement((x, start, 0.0), u, UP),
                "side", features,
            ))
        return made[0], made[1]

    def _ends(self) -> tuple[Panel, Panel]:
        wide = self.w - 2.0 * self.t + 2.0 * self.r
        deep = self.d - 2.0 * self.t + 2.0 * self.r
        near, far = self.t - self.r, self.d - self.t + self.r
        left = -0.5 * wide
        outline = rectangle(0.0, 0.0, wide, deep)
        top = Placement((left, near, self.h), RIGHT, BACK)
        bottom = Placement((left, far, 0.0), RIGHT, FRONT)
        return (
            self._panel("top", outline, top, "top", grain="u"),
            self._panel("bottom", outline, bottom, "bottom", grain="u"),
        )

    def _inner(self, name: str, z_top: float, role: str, back_to: float | None = None,
               sheet: float | None = None, features: Sequence[Feature] = (),
               start: float | None = None) -> Panel:
        """A horizontal sheet between the sides, from the baffle (or `start`) to `back_to`."""
        wide, far = self.w - 2.0 * self.t, self.d - self.t if back_to is None else back_to
        near = self.t if start is None else start
        panel = self._panel(
            name, rectangle(0.0, 0.0, wide, far - near),
            Placement((-0.5 * wide, near, z_top), RIGHT, BACK), role, features, grain="u",
        )
        if sheet is None or sheet == self.t:
            return panel
        return Panel(panel.name, panel.outline, sheet, panel.placement, panel.features,
                     panel.material, panel.grain, panel.role)

    def _dividers(self) -> tuple[Panel, ...]:
        lower = self.sizes.rooms[:-1]
        return tuple(
            self._inner("divider" if len(lower) == 1 else f"divider {k + 1}",
                        mm(room.floor + room.height) + self.t, "divider")
            for k, room in enumerate(lower)
        )

    def _braces(self) -> tuple[Panel, ...]:
        made = []
        for k, brace in enumerate(self.cabinet.braces):
            room = self.sizes.room(brace.chamber) or self.sizes.rooms[0]
            sheet = mm(brace.sheet) if brace.sheet is not None else self.t
            z_top = mm(room.floor + brace.at) + 0.5 * sheet
            start = self.t if brace.behind is None else mm(brace.behind)
            if self.d - self.t - start <= LEAST:
                continue  # it would start behind the back: it takes no room, and `judged` says so
            window = brace_window(mm(room.width), self.d - self.t - start, brace.open)
            name = "brace" if len(self.cabinet.braces) == 1 else f"brace {k + 1}"
            made.append(self._inner(name, z_top, "brace", sheet=sheet, start=start,
                                    features=[] if window is None else [window]))
        return tuple(made)

    def _slot_boards(self, slots: Slots) -> tuple[Panel, ...]:
        made: list[Panel] = []
        for name, (port, places) in slots.items():
            room = self.sizes.room(name)
            if room is None or mm(port.length) <= self.t + LEAST:
                continue  # a mere hole needs no boards
            label = "slot board" if len(slots) == 1 else f"slot board {name}"
            for k, (x, z) in enumerate(places):
                number = f" {k + 1}" if port.count > 1 else ""
                made += self._one_slot(port, mm(x), mm(z), f"{label}{number}")
        return tuple(made)

    def _one_slot(self, port: BuiltPort, x: float, z: float, label: str) -> list[Panel]:
        """The boards of one slot: above, beside where it shares no sides, below off the floor."""
        sheet, far = mm(port.wall), mm(port.length)
        over = z + 0.5 * mm(port.height or 0.0) + sheet
        if port.walls_shared == 3:
            return [self._inner(label, over, "slot board", back_to=far, sheet=sheet)]
        made = [self._over_slot(port, x, over, label), *self._cheeks(port, x, z, label)]
        if not port.walls_shared:
            made.append(self._over_slot(port, x, z - 0.5 * mm(port.height or 0.0),
                                        f"{label} lower"))
        return made

    def _over_slot(self, port: BuiltPort, x: float, top: float, label: str) -> Panel:
        """A level board as wide as a slot with its cheeks."""
        wide, deep = mm(port.outer_width), mm(port.length) - self.t
        return Panel(
            label, rectangle(0.0, 0.0, wide, deep), mm(port.wall),
            Placement((x - 0.5 * wide, self.t, top), RIGHT, BACK), (), self.material, "u",
            "slot board",
        )

    def _cheeks(self, port: BuiltPort, x: float, z: float, label: str) -> list[Panel]:
        """Upright sheets beside a slot that is narrower than the box."""
        high, deep, sheet = mm(port.height or 0.0), mm(port.length) - self.t, mm(port.wall)
        half, low = 0.5 * mm(port.width or 0.0), z - 0.5 * high
        made = []
        for side, at, u in (("left", x - half - sheet, FRONT), ("right", x + half + sheet, BACK)):
            start = self.t if u is BACK else self.t + deep
            made.append(Panel(
                f"{label} {side} cheek", rectangle(0.0, 0.0, deep, high), sheet,
                Placement((at, start, low), u, UP), (), self.material, "u", "slot board",
            ))
        return made


def brace_window(width: float, depth: float, open_share: float) -> Feature | None:
    """A shelf brace's window: a rounded opening with `open_share` of its area, rims alike."""
    if open_share <= 0.0:
        return None
    wanted = open_share * width * depth
    total = width + depth
    # equal rims b: (width - 2b)(depth - 2b) less the corners' loss = wanted; solved by bisection
    low, high = 0.0, 0.5 * min(width, depth) * 0.999
    shape = None
    for _ in range(60):
        rim = 0.5 * (low + high)
        radius = min(30.0, 0.45 * min(width - 2.0 * rim, depth - 2.0 * rim))
        shape = rounded_rectangle(rim, rim, width - rim, depth - rim, radius)
        if shape.area > wanted:
            low = rim
        else:
            high = rim
        if high - low < 1e-7 * total:
            break
    assert shape is not None
    return cutout(shape, "window")
