"""What the stages find: a verdict with its margin, its reason and its evidence."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from speakerwright.words.evidence import Evidence
from speakerwright.words.rules import RULES
from speakerwright.words.units import show

_SLOT = re.compile(r"\{(\w+)\}")


class Verdict(StrEnum):
    """Holds, tight, fails, or unknown: from the margin, which is computed."""

    HOLDS = "holds"
    TIGHT = "tight"
    FAILS = "fails"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Finding:
    """One finding.

    `value` and `limit` are SI values of `kind`; `says` and `try_this` are templates with
    ``{value}``, ``{limit}``, ``{margin}`` and the names in `figures`, filled in the reader's units.
    `margin` is positive on the safe side: a difference in dB for levels, a fraction of the limit
    for everything else; None when there is nothing to compare.
    """

    rule: str
    where: str
    verdict: Verdict
    value: float | None
    limit: float | None
    kind: str
    says: str
    try_this: str = ""
    evidence: Evidence = Evidence.SIMULATED
    source: str = ""
    margin: float | None = None
    figures: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    accepted: str = ""

    def __post_init__(self) -> None:
        if self.rule not in RULES:
            raise ValueError(f"{self.rule} is not among the rules")

    def text(self, system: str = "metric") -> str:
        """What it says, in the reader's units."""
        return self._fill(self.says, system)

    def advice(self, system: str = "metric") -> str:
        """What to try, in the reader's units."""
        return self._fill(self.try_this, system)

    def _fill(self, template: str, system: str) -> str:
        words = {name: show(value, kind, system) for name, (value, kind) in self.figures.items()}
        words["value"] = show(self.value, self.kind, system)
        words["limit"] = show(self.limit, self.kind, system)
        words["margin"] = self.margin_text(system)
        # only the names known here: a record's own name may hold braces
        return _SLOT.sub(lambda slot: words.get(slot[1], slot[0]), template)

    def margin_text(self, system: str = "metric") -> str:
        """The margin for a reader: dB for levels, per cent of the limit for the rest."""
        if self.margin is None:
            return "–"
        if self.kind == "level":
            return show(self.margin, "level", system)
        return show(100.0 * self.margin, "percent", system)

    @property
    def name(self) -> str:
        """How the design file names it when the designer accepts it."""
        return f"{self.rule} at {self.where}"

    @property
    def stops(self) -> bool:
        """Whether it stops publishing: it fails and no reason is recorded."""
        return self.verdict is Verdict.FAILS and not self.accepted


def judge(
    rule: str,
    where: str,
    value: float,
    kind: str,
    *,
    at_most: float | None = None,
    at_least: float | None = None,
    tight: float,
    says: str,
    try_this: str = "",
    evidence: Evidence = Evidence.SIMULATED,
    source: str = "",
    figures: Mapping[str, tuple[float, str]] | None = None,
) -> Finding:
    """A finding whose verdict follows from its margin.

    Give one of `at_most` and `at_least` (SI, of `kind`). `tight` is the margin below which it is
    tight: dB for levels, a fraction of the limit otherwise (the difference itself where the limit
    is zero). A value that is no number makes the finding unknown.
    """
    if (at_most is None) == (at_least is None):
        raise ValueError("give either at_most or at_least")
    limit = at_most if at_most is not None else at_least
    assert limit is not None
    room = limit - value if at_most is not None else value - limit
    margin = room if kind == "level" or limit == 0 or math.isinf(limit) else room / abs(limit)
    if math.isnan(margin):
        return Finding(
            rule, where, Verdict.UNKNOWN, None, limit, kind, says, try_this, evidence, source,
            None, dict(figures or {}),
        )
    verdict = Verdict.FAILS if margin < 0 else Verdict.TIGHT if margin < tight else Verdict.HOLDS
    return Finding(
        rule, where, verdict, value, limit, kind, says, try_this, evidence, source, margin,
        dict(figures or {}),
    )


def unknown(rule: str, where: str, says: str, try_this: str, *, kind: str = "ratio") -> Finding:
    """A finding that cannot be settled yet, and what would settle it."""
    return Finding(rule, where, Verdict.UNKNOWN, None, None, kind, says, try_this)


def worst(findings: tuple[Finding, ...]) -> Verdict:
    """The worst verdict among findings; an accepted failure counts as tight."""
    order = (Verdict.FAILS, Verdict.UNKNOWN, Verdict.TIGHT, Verdict.HOLDS)
    seen = {
        Verdict.TIGHT if finding.verdict is Verdict.FAILS and finding.accepted else finding.verdict
        for finding in findings
    }
    return next((verdict for verdict in order if verdict in seen), Verdict.HOLDS)


def with_reason(finding: Finding, reason: str, given_for: float) -> Finding:
    """The finding with the designer's recorded reason, unless its value got worse since.

    `given_for` is the value (SI, of the finding's kind) at which the reason was recorded; worse is
    farther out on the side where the finding fails, beyond a millionth of either.
    """
    if finding.verdict is not Verdict.FAILS:
        return finding
    if finding.value is not None and finding.limit is not None:
        slack = 1e-6 * max(abs(finding.value), abs(given_for))
        farther = finding.value - given_for
        if (farther if finding.value > finding.limit else -farther) > slack:
            return finding
    return replace(finding, accepted=reason)
