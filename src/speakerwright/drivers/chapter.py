"""The drivers as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from speakerwright.design.motor import Motor
from speakerwright.drivers.stage import DriversResult, JobResult
from speakerwright.words.blocks import Block, Chapter, Heading, Table
from speakerwright.words.units import show

_KINDS = {
    "re": "resistance", "sd": "area", "mms": "moving mass", "cms": "compliance",
    "bl": "force factor", "rms": "mechanical resistance",
}
_SAID = {
    "re": "Re", "sd": "Sd", "mms": "Mms", "cms": "Cms", "bl": "Bl", "rms": "Rms", "fs": "fs",
    "qms": "Qms", "qes": "Qes", "qts": "Qts", "vas": "Vas", "efficiency": "efficiency",
    "sensitivity": "sensitivity",
}


def chapter(result: DriversResult, currency: str, system: str) -> Chapter:
    """Which record has which job, what it is worked out with, and whether its figures agree."""
    blocks: list[Block] = [_jobs(result, currency, system)]
    for job in result.jobs.values():
        if job.motor is not None:
            blocks += [Heading(f"{job.record.name} ({job.job})"), _motor(job, job.motor, system)]
        if job.relations:
            blocks.append(_relations(job, system))
    return Chapter("drivers", "Drivers", tuple(blocks))


def _jobs(result: DriversResult, currency: str, system: str) -> Table:
    rows = []
    for job in result.jobs.values():
        for record in (job.record, job.horn):
            if record is None:
                continue
            count = job.choice.count
            rows.append((
                job.job,
                record.name,
                record.about or record.type,
                str(count) if count == 1 else f"{count}, {job.choice.wiring}",
                "–" if record.price is None else f"{record.price:.0f} {currency}",
                show(record.mass, "mass", system),
                record.revision or "–",
            ))
    return Table(("Job", "Record", "What it is", "Count", "Price each", "Mass", "Revision"),
                 tuple(rows), _together(result, currency, system), numbers=(4, 5))


def _together(result: DriversResult, currency: str, system: str) -> str:
    if result.cost is None:
        return ""
    mass = f" and weigh {show(result.mass, 'mass', system)}" if result.mass else ""
    return f"Drive units and horns of one cabinet cost {result.cost:.0f} {currency}{mass}."


def _motor(job: JobResult, motor: Motor, system: str) -> Table:
    rows = tuple(
        (_SAID[name], show(getattr(motor.coil, name), kind, system),
         str(motor.origins[name].evidence), _how(motor.origins[name].how))
        for name, kind in _KINDS.items()
    )
    level = show(job.sensitivity_db, "level")
    return Table(
        ("Figure", "Value", "Evidence", "How"), rows,
        f"The six figures the circuit is made from. Sensitivity of the job as wired: {level} for "
        f"2.83 V at 1 m, half space ({job.sensitivity_from}).",
        numbers=(1,),
    )


def _how(how: str) -> str:
    return " ".join(_SAID.get(word.strip(","), word.strip(",")) +
                    ("," if word.endswith(",") else "") for word in how.split())


def _relations(job: JobResult, system: str) -> Table:
    rows = tuple(
        (
            _SAID[relation.figure],
            show(relation.typed, relation.kind, system),
            ", ".join(_SAID[name] for name in relation.from_figures),
            show(relation.implied, relation.kind, system),
            show(relation.off, "level") if relation.kind == "level"
            else f"{100.0 * relation.off:+.2f} %",
        )
        for relation in job.relations
    )
    return Table(
        ("Figure", "As typed", "From", "Implied", "Off"), rows,
        "Whether the record's figures agree: each as typed and as the others imply it.",
        numbers=(1, 3, 4),
    )
