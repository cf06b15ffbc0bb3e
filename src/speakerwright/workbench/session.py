"""One tab's work on one project: the design now, what can be undone, what is not saved yet.

Nothing here knows of any face. An edit that cannot be taken changes nothing: what was typed stays
beside the field with the sentences it earned, and the design stays at the last good one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from speakerwright.design.document import Design, split_path
from speakerwright.design.file import Project, TextFile, read_project, save
from speakerwright.design.patch import same
from speakerwright.words.errors import DesignError, DesignErrors
from speakerwright.workbench import recovery, versions
from speakerwright.workbench.changes import differences


class Conflict(DesignErrors):
    """Files that somebody else changed since they were read; nothing was written."""


@dataclass(frozen=True)
class Wrong:
    """What was typed and cannot be taken, and why."""

    text: str
    errors: tuple[DesignError, ...]

    @property
    def sentence(self) -> str:
        """All of it in one paragraph, the path left out where it is the field's own."""
        return " ".join(f"{e.says[:1].upper()}{e.says[1:]} {e.try_this}".strip()
                        for e in self.errors)


class Session:
    """A project being worked on in one tab.

    Parameters
    ----------
    project : Project
        The folder as it was read.
    name : str
        What the unsaved edits are kept under; one name per tab. Empty: they are not kept.

    Notes
    -----
    `edit` changes the design at once and `commit` makes one undo entry of all edits since the last
    one, so that a drag is one step back. `revision` counts every change of the design.
    """

    def __init__(self, project: Project, name: str = "") -> None:
        self.project = project
        self.name = name
        self.design = project.design
        self.revision = 1
        self.undone: list[Design] = []
        self.done: list[Design] = []
        self.wrong: dict[str, Wrong] = {}
        self.held: dict[str, Any] = {}
        self.watchers: list[Callable[[], None]] = []
        self._committed = project.design

    # --- edits ------------------------------------------------------------------------------------

    def edit(self, path: str, written: Any, typed: str | None = None) -> bool:
        """Change one written value (None takes it out); whether it was taken."""
        return self.edit_many({path: written}, path, typed)

    def edit_many(
        self, changes: Mapping[str, Any], field: str = "", typed: str | None = None
    ) -> bool:
        """Change several values at once; a refusal is kept in `wrong` under `field`."""
        try:
            changed = self.design.with_values(changes)
        except DesignErrors as error:
            text = typed if typed is not None else str(next(iter(changes.values()), ""))
            self.wrong[field or next(iter(changes), "")] = Wrong(text, error.errors)
            self._tell()
            return False
        for path in changes:
            self.wrong.pop(path, None)
        self.wrong.pop(field, None)
        self._put(changed)
        return True

    def edit_quantity(self, path: str, si: float) -> bool:
        """Change a quantity to a value in SI, written as what stands there; whether taken."""
        try:
            changed = self.design.with_quantity(path, si)
        except DesignErrors as error:
            self.wrong[path] = Wrong(f"{si:g}", error.errors)
            self._tell()
            return False
        self.wrong.pop(path, None)
        self._put(changed)
        return True

    def refuse(self, path: str, typed: str, error: DesignErrors) -> None:
        """Keep what was typed beside its field, with what is wrong with it."""
        self.wrong[path] = Wrong(typed, error.errors)
        self._tell()

    def forget_wrong(self, path: str) -> None:
        """The field shows the design's own value again."""
        if self.wrong.pop(path, None) is not None:
            self._tell()

    def commit(self) -> bool:
        """Make one undo entry of the edits since the last one; whether there were any."""
        if _alike(self.design, self._committed):
            return False
        self.done.append(self._committed)
        self.undone.clear()
        self._committed = self.design
        self._keep()
        self._tell()
        return True

    def undo(self) -> bool:
        """Take the last committed edit back; whether there was one."""
        self.commit()
        if not self.done:
            return False
        self.undone.append(self.design)
        self._step(self.done.pop())
        return True

    def redo(self) -> bool:
        """Bring back what was last undone; whether there was anything."""
        self.commit()
        if not self.undone:
            return False
        self.done.append(self.design)
        self._step(self.undone.pop())
        return True

    def accept(self, name: str, reason: str, value: float) -> bool:
        """Record a reason for a failing finding as one undoable edit."""
        try:
            changed = self.design.accept(name, reason, value)
        except DesignErrors as error:
            self.wrong[f"accept {name}"] = Wrong(reason, error.errors)
            self._tell()
            return False
        self.wrong.pop(f"accept {name}", None)
        self._put(changed)
        return self.commit()

    # --- the files --------------------------------------------------------------------------------

    @property
    def unsaved(self) -> bool:
        """Whether the design differs from what is on disk as it was read."""
        return not _alike(self.design, self.project.design)

    @property
    def changes(self) -> dict[str, Any]:
        """The written values that differ from the files as they were read, by path."""
        return differences(self.project.design, self.design)

    def moved(self) -> tuple[str, ...]:
        """Files of the project that no longer hold what was read from them."""
        return tuple(_where(file, self.project) for file in _files(self.project) if _other(file))

    def save(self) -> None:
        """Write the changed values.

        Raises `Conflict`, and writes nothing, when any file changed underneath; `DesignErrors`
        when one cannot be written.
        """
        self.commit()
        if not self.unsaved:
            return
        moved = self.moved()
        if moved:
            raise Conflict(
                DesignError(name, "it was changed by someone else since it was read.",
                            "Nothing was written.") for name in moved
            )
        self.project = save(self.project, self.design)
        self._keep()
        self._tell()

    def reload(self, *, keep: bool = False) -> str:
        """Read the folder again, with the unsaved edits laid over it if `keep`, else without.

        Edits that would be lost are first kept as a version, whose name is returned (else "").
        Raises `DesignErrors`, and changes nothing, when the files or the edits cannot be read.
        """
        changes, kept = self.changes, ""
        project = read_project(self.project.folder)
        design = project.design.with_values(changes) if keep and changes else project.design
        if changes and not keep:
            kept = versions.free_name(self.project.folder, "before reload")
            versions.keep(self.project, self.design, kept)
        self.project, self.wrong = project, {}
        self.done = [project.design] if keep and changes else []
        self.undone = []
        self._committed = design
        self._put(design)
        self._keep()
        return kept

    def add_record(self, name: str, text: str) -> None:
        """Write a new record's file and take it into the design; raises `DesignErrors`.

        The file is new, so it can overwrite nothing; undo does not take it away.
        """
        from speakerwright.workbench.newrecord import with_record, write

        file, raw = write(self.project.folder, name, text, self.design)
        self.project = Project(
            self.project.folder, self.project.file, {**self.project.records, name: file},
            with_record(self.project.design, name, raw),
        )
        self.done = [with_record(design, name, raw) for design in self.done]
        self.undone = [with_record(design, name, raw) for design in self.undone]
        self._committed = with_record(self._committed, name, raw)
        self._put(with_record(self.design, name, raw))
        self._keep()

    # --- versions, held curves, recovery ----------------------------------------------------------

    @property
    def versions(self) -> tuple[versions.Version, ...]:
        """The named versions, the newest first."""
        return versions.found(self.project.folder)

    def keep_version(self, name: str) -> None:
        """Keep the design and its records under a name; raises `DesignErrors`."""
        self.commit()
        versions.keep(self.project, self.design, name)
        self._tell()

    def restore(self, name: str) -> None:
        """Go back to a named version, as one edit that can be undone; raises `DesignErrors`."""
        self.commit()
        raw, texts = versions.read(self.project.folder, name)
        for record, (text, _) in texts.items():
            if record not in self.design.raw_records:
                self.add_record(record, text)
        records = {**self.design.raw_records, **{n: parsed for n, (_, parsed) in texts.items()}}
        design = Design.read(raw, records)
        self.wrong = {}
        self._put(design)
        self.commit()

    def hold(self, name: str, workup: Any) -> None:
        """Keep a worked-out design to compare with."""
        self.held[name] = workup
        self._tell()

    def release(self, name: str) -> None:
        """Let a held one go."""
        self.held.pop(name, None)
        self._tell()

    def recover(self, changes: Mapping[str, Any]) -> None:
        """Take up edits that an earlier tab left unsaved; one undoable edit. `DesignErrors`."""
        self.commit()
        self._put(self.design.with_values(changes))
        self.commit()

    # --- inside -----------------------------------------------------------------------------------

    def _step(self, design: Design) -> None:
        self._committed = design
        self.wrong = {}
        self._put(design)
        self._keep()

    def _put(self, design: Design) -> None:
        self.design = design
        self.revision += 1
        self._tell()

    def _tell(self) -> None:
        for watcher in list(self.watchers):
            watcher()

    def _keep(self) -> None:
        if self.name:
            recovery.keep(self.project.folder, self.name, self.changes)


def _alike(one: Design, other: Design) -> bool:
    return one is other or (
        same(one.raw, other.raw) and same(one.raw_records, other.raw_records)
    )


def _files(project: Project) -> list[TextFile]:
    return [project.file, *project.records.values()]


def _where(file: TextFile, project: Project) -> str:
    return str(file.path.relative_to(project.folder))


def _other(file: TextFile) -> bool:
    try:
        return file.path.read_bytes() != file.text.encode("utf-8")
    except OSError:
        return True


def written(design: Design, path: str) -> Any:
    """The written value at a path, or None where nothing is written."""
    try:
        return design.value(path)
    except DesignErrors:
        return None


def stage_of(path: str) -> str:
    """The page on which a value of this path stands.

    A record is turned on the drivers' page, as are hand-overs until their own stage is there; what
    stands on the baffle is placed on the cabinet's.
    """
    first = split_path(path)[0] if path else ""
    return {"records": "drivers", "crossover": "drivers", "directivity": "cabinet",
            "accepted": "plan", "format": "plan"}.get(first, first)
