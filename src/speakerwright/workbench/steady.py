"""Controls that keep what the hand does, however late the server answers.

Every edit of a control is numbered in the browser. What the server shows in it carries the number
of the last edit that it knew of, and the browser does not show an answer that knows less than the
hand has done since.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nicegui import ui
from nicegui.elements.mixins.value_element import ValueElement


class SteadyText(ui.input, component="static/steady_text.js"):
    """A text field, of several lines if asked.

    It emits `typed` with every change, `blur` when it is left and `keydown` for Enter (not in
    several lines) and Escape, each with the text and the number of the edit: give them to `heard`.

    Parameters
    ----------
    text : str
        What it shows first.
    path : str
        What it stands for: when the page is built again under a hand that types, the field of the
        same path takes over.
    lines : int
        More than 0 for a field of that many lines.
    pause : float
        After how long without a key `typed` is sent, s; 0 sends every one.
    """

    edit = 0

    def __init__(self, text: str, path: str, *, lines: int = 0, pause: float = 0.0) -> None:
        super().__init__(value=text)
        self._props["seen"] = 0
        self._props["path"] = path
        if pause:
            self._props["pause"] = round(1000.0 * pause)
        if lines:
            self._props["type"] = "textarea"
            self._props["rows"] = lines
            self._props["autogrow"] = True

    def heard(self, told: Any) -> None:
        """Take what the browser says stands in the field; nothing goes back to it."""
        _heard(self, told, "text", str)

    def _handle_value_change(self, value: Any) -> None:
        self._props["seen"] = self.edit
        super()._handle_value_change(value)


class SteadySlider(ValueElement[int], component="static/steady_slider.js"):
    """A slider in whole steps; `turned` and `change` (let go) carry its step: give it to `heard`.

    Parameters
    ----------
    steps : int
        It goes from 0 to this.
    at : int
        Where it stands first.
    """

    VALUE_PROP = "value"
    LOOPBACK = False
    edit = 0

    def __init__(self, steps: int, at: int) -> None:
        super().__init__(value=at)
        self._props["seen"] = 0
        self._props["min"], self._props["max"], self._props["step"] = 0, steps, 1

    def heard(self, told: Any) -> None:
        """Take where the browser says it stands, and let it know, so that it sends the next."""
        before = self.edit
        _heard(self, told, "at", int)
        if self.edit != before:
            self.update()

    def _handle_value_change(self, value: Any) -> None:
        self._props["seen"] = self.edit
        super()._handle_value_change(value)


def _heard(control: Any, told: Any, name: str, kind: type) -> None:
    if not isinstance(told, Mapping) or not isinstance(told.get(name), kind):
        return
    control.edit = int(told.get("edit", control.edit))
    control._props["seen"] = control.edit
    control._send_update_on_value_change = False
    try:
        control.set_value(told[name])
    finally:
        control._send_update_on_value_change = True
