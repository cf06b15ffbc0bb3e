"""The project that `new` makes: a closed box with an invented driver, to be changed at once."""

from __future__ import annotations

from pathlib import Path

from speakerwright.design.file import DESIGN, RECORDS, shortened, write_text
from speakerwright.words.errors import refuse

_DESIGN = '''\
# A closed box to start from. Change everything: speakerwright check says what
# follows. Quantities are written with their units: "305 mm", "11 7/8 in", "48 Hz", "92 L".
format = 1

[brief]
use = "A first design: say here what it is for, where it stands and who listens."
lowest = "60 Hz"

[brief.level]
average = "79 dB"
weighting = "A"
crest = "12 dB"
spectrum = "programme"

[brief.system]
channels = 2

[brief.seats]
nearest = "1.5 m"
farthest = "3 m"

[brief.place]
kind = "wall"

[brief.amplifier]
power = "80 W"
load = "8 ohm"
peak_voltage = "38 V"
peak_current = "10 A"

[drivers.low]
record = "my-woofer"

[bass.main]
loads = ["low"]
loading = "closed"
volume = "15 L"

[plan]
title = "My first design"
version = "0.1"
date = 2026-01-01
'''

_RECORD = '''\
# An invented driver: type your own datasheet's figures over these.
format = 1
what = "driver"
type = "cone"
name = "My woofer"
about = "165 mm woofer, invented"
mass = "1.9 kg"

[datasheet]
nominal_impedance = "8 ohm"
re = "5.8 ohm"
fs = "40 Hz"
qms = 4.2
qes = 0.47
vas = "26 L"
sd = "137 cm^2"
xmax = "5.5 mm"
power = "60 W"
power_standard = "IEC 60268-5 noise, 100 h"

[datasheet.inductance]
law = "plain"
le = "0.5 mH"

[body]
depth = "82 mm"
frame = "166 mm"
cutout = "146 mm"
'''


def start(folder: Path) -> None:
    """Make a project folder with a design file and one record.

    Raises `DesignErrors`, and writes nothing, when the folder already holds a design.
    """
    try:
        for path in (folder / DESIGN, folder / RECORDS / "my-woofer.toml"):
            if path.exists() or path.is_symlink():
                what = "a design" if path.name == DESIGN else "a record of this name"
                raise refuse(shortened(path), f"there is {what} already.", "Choose another folder.")
        (folder / RECORDS).mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no path can hold this"
        says = f"the folder cannot be made: {reason.lower()}."
        raise refuse(shortened(folder), says, "Choose another place.") from None
    write_text(folder / RECORDS / "my-woofer.toml", _RECORD)
    write_text(folder / DESIGN, _DESIGN)
