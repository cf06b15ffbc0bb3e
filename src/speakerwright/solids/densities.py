"""Densities of what cabinets are built of, kg/m³.

All of them are typical values from memory, not from a datasheet; sheets of one name differ by
10 % and more, so weigh an offcut when the mass matters.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

DENSITIES: Mapping[str, float] = MappingProxyType({
    "birch plywood": 680.0,  # from memory
    "MDF": 750.0,  # from memory
    "chipboard": 650.0,  # from memory
    "PVC": 1400.0,  # rigid pipe, from memory
    "steel": 7850.0,  # carbon steel, from memory
})
