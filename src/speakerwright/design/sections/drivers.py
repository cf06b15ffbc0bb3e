"""What the drivers stage decides: which record has which job."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import Choice, Count, Name, Section, problems


class DriverChoice(Section):
    """One job: a record, how many, how they are wired, and the horn on its throat."""

    record: Name
    count: Count = 1
    wiring: Annotated[str, Choice(("single", "series", "parallel"))] = "single"
    horn: Name | None = None

    @model_validator(mode="after")
    def _wired(self) -> DriverChoice:
        if self.count > 1 and self.wiring == "single":
            raise problems(
                [("wiring", f"{self.count} drivers are not wired.", 'Say "series" or "parallel".')]
            )
        if self.count == 1 and self.wiring != "single":
            raise problems([("wiring", "one driver cannot be wired to others.", "Leave it out.")])
        return self
