"""Random cabinets that can be built: sizes, joints, rooms, ports, slots, braces, a driver."""

from __future__ import annotations

import math
import random
from typing import Any

from .designs import cabinet, record, vented


def sections(seed: int) -> tuple[dict[str, Any], dict[str, Any], float]:
    """Records and sections of one cabinet, and what its driver takes inside, mm³."""
    rng = random.Random(seed)
    sheet = rng.choice([12.0, 15.0, 18.0, 19.0, 22.0])
    wide, deep = round(rng.uniform(280, 600), 1), round(rng.uniform(260, 520), 1)
    clear_w, clear_d = wide - 2 * sheet, deep - 2 * sheet
    across = round(rng.uniform(0.4, 0.75) * clear_w)
    driver, taken = _driver(rng, across, sheet, clear_d)
    chambers: dict[str, Any] = {"main": {}}
    if rng.random() < 0.4:
        chambers["top"] = {"height": f"{rng.uniform(60, 180):.1f} mm"}
    port, at = _port(rng, clear_w, clear_d, sheet)
    middle = sheet + at + 20 + across / 2
    high = at + 20 + across + 30  # to the first brace, over the driver
    braces = []
    for _ in range(rng.choice([0, 0, 1, 2])):
        braces.append({"chamber": "main", "open": round(rng.uniform(0.2, 0.7), 2),
                       "at": f"{high:.1f} mm"})
        high += 60
    volume = clear_w * clear_d * (high + rng.uniform(0, 150)) - taken
    volume_text = f"{1e-6 * volume:.4f} L"
    flush = "yes" if rng.random() < 0.5 else "no"
    bass = {"main": {"loads": ["low"], "loading": "closed", "volume": volume_text}}
    made = {
        "bass": bass if port is None else vented(volume_text, **port),
        "cabinet": cabinet(
            width=f"{wide} mm", depth=f"{deep} mm", height=None, sheet=f"{sheet} mm",
            joint=rng.choice(["butt", "rabbet"]), rabbet=f"{rng.choice([4, 5, 6.5])} mm",
            chambers=chambers, braces=braces),
        "directivity": {"low": {"at": [["0 mm", f"{middle:.1f} mm"]], "flush": flush}},
        "cutting": {"tool": rng.choice(["saw", "router"]),
                    "sheets": [{"name": "Test sheet", "size": ["2500 mm", "1250 mm"]}]},
    }
    return {"cone": driver}, made, taken


def _driver(rng: random.Random, across: float, sheet: float, clear: float
            ) -> tuple[dict[str, Any], float]:
    """A cone driver that states its volume, within what its magnet and hole allow."""
    cut = across - 20
    magnet, thick = round(0.5 * cut), round(rng.uniform(20, 40))
    depth = round(min(0.45 * across + 30, clear - 30) + sheet)
    basket = depth - thick
    mouth, end = cut / 2, magnet / 2
    r = mouth + (end - mouth) * sheet / basket
    straight = math.pi * (basket - sheet) / 3 * (r * r + r * end + end * end)
    taken = rng.uniform(0.85, 1.0) * straight + math.pi * end * end * thick
    stated = round(1e-6 * taken, 4)
    bolts = rng.choice([4, 6, 8])
    driver = record(frame=f"{across} mm", cutout=f"{cut} mm", flange="6 mm", depth=f"{depth} mm",
                    magnet_diameter=f"{magnet} mm", magnet_height=f"{thick} mm",
                    volume=f"{stated} L", bolts=bolts, bolt="M5",
                    bolt_circle=f"{across - 9} mm")
    return driver, 1e6 * stated + bolts * math.pi / 4 * 10.0**2 * 6.0  # collars, by hand


def _port(rng: random.Random, clear_w: float, clear_d: float, sheet: float
          ) -> tuple[dict[str, Any] | None, float]:
    """A port or none, and how high above the floor it reaches, mm."""
    length = f"{rng.uniform(sheet + 20, 0.7 * clear_d + sheet):.1f} mm"
    kind = rng.choice(["closed", "one", "two", "three walls", "one wall", "no wall"])
    if kind == "closed":
        return None, 0.0
    if kind in ("one", "two"):
        bore = rng.choice([50, 68, 75])
        pair = {"count": 2, "centres": f"{bore + 25} mm"} if kind == "two" else {}
        return {"bore": f"{bore} mm", "wall": "2.5 mm", "length": length, **pair}, bore + 50
    shared = {"three walls": 3, "one wall": 1, "no wall": 0}[kind]
    wall, high = rng.choice([9.0, 12.0, sheet]), rng.choice([25, 40])
    wide = clear_w if shared == 3 else round(0.6 * clear_w)
    port = {"shape": "slot", "width": f"{wide:.6g} mm", "height": f"{high} mm",
            "wall": f"{wall} mm", "walls_shared": shared, "length": length}
    return port, high + 2 * wall + (0 if shared else 45)
