"""Errors that a reader can act on: where, what is so, what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class DesignError:
    """One thing wrong: where it stands, what is so, what to do about it."""

    where: str
    says: str
    try_this: str = ""

    def __str__(self) -> str:
        """One line: ``where: what is so. What to do.``"""
        text = f"{self.where}: {self.says}" if self.where else self.says
        return f"{text} {self.try_this}".rstrip()


class DesignErrors(Exception):
    """All that is wrong with a design, at once."""

    def __init__(self, errors: Iterable[DesignError]) -> None:
        self.errors: tuple[DesignError, ...] = tuple(errors)
        super().__init__("\n".join(str(error) for error in self.errors))


def refuse(where: str, says: str, try_this: str = "") -> DesignErrors:
    """An exception that carries one error."""
    return DesignErrors([DesignError(where, says, try_this)])
