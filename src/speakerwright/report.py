"""Results as plain data for machines, and what a bug report needs."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from typing import Any

import numpy as np
from pydantic import BaseModel

from speakerwright import __version__
from speakerwright.circuits.network import Network


def as_plain(value: Any) -> Any:  # noqa: PLR0911
    """Dataclasses, models and arrays as JSON data; complex numbers as [real, imaginary].

    What is not finite becomes None; outlines become well-known text; networks and solids are left
    out.
    """
    if isinstance(value, Enum):
        return str(value)
    if isinstance(value, BaseModel):
        return as_plain(value.model_dump())
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: as_plain(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if not isinstance(getattr(value, field.name), Network)
        }
    if isinstance(value, np.ndarray):
        return as_plain(value.tolist())
    if isinstance(value, Mapping):
        return {str(name): as_plain(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_plain(inner) for inner in value]
    if isinstance(value, complex):
        return [as_plain(value.real), as_plain(value.imag)]
    if isinstance(value, (float, np.floating)):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, (np.integer,)):
        return int(value)
    if value is None or isinstance(value, (str, int, bool)):
        return value
    return getattr(value, "wkt", None)  # outlines as text; solids are left out


def _finding(finding: Any) -> dict[str, Any]:
    return {
        "rule": finding.rule, "where": finding.where, "verdict": str(finding.verdict),
        "value": as_plain(finding.value), "limit": as_plain(finding.limit), "kind": finding.kind,
        "margin": as_plain(finding.margin), "says": finding.text(), "try_this": finding.advice(),
        "evidence": str(finding.evidence), "source": finding.source, "accepted": finding.accepted,
    }


def findings_json(workup: Any) -> str:
    """All findings, by stage, as JSON text."""
    data = {
        "design": workup.design.key,
        "stops": workup.stops,
        "findings": {
            stage: [_finding(finding) for finding in found]
            for stage, found in workup.findings.items()
        },
    }
    return json.dumps(data, indent=1, ensure_ascii=False)


def stage_json(workup: Any, stage: str) -> str:
    """One stage's result and findings as JSON text; SI units."""
    result = as_plain(getattr(workup, stage)) or {}
    result["findings"] = [_finding(finding) for finding in workup.findings[stage]]
    return json.dumps({stage: result}, indent=1, ensure_ascii=False)


def about() -> str:
    """Versions of the program and of what it computes with."""
    import platform
    from importlib.metadata import PackageNotFoundError, version

    lines = [f"speakerwright {__version__}",
             f"python {platform.python_version()} on {platform.system()} {platform.machine()}"]
    for name in ("numpy", "scipy", "pydantic", "pint", "typst", "matplotlib"):
        try:
            lines.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            lines.append(f"{name} is missing")
    return "\n".join(lines)
