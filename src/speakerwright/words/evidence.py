"""Where a figure comes from."""

from __future__ import annotations

from enum import StrEnum


class Evidence(StrEnum):
    """Where a figure or curve comes from; ordered from the weakest to the strongest."""

    DATASHEET = "datasheet"
    SIMULATED = "simulated"
    MEASURED = "measured"
