"""Sentences for what a model refuses: no library's wording reaches the reader."""

from __future__ import annotations

import json
import re
import types
import typing
from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import BaseModel, ValidationError

from speakerwright.design.values import nearest
from speakerwright.words.errors import DesignError
from speakerwright.words.units import quoted

_PLAIN = re.compile(r"[\w-]{1,60}")

def sentences(error: ValidationError, model: type[BaseModel], where: str) -> list[DesignError]:
    """Every complaint as a `DesignError`, each place once."""
    found: dict[tuple[str, str], DesignError] = {}
    for item in error.errors(include_url=False):
        for one in _one(item, model, where):
            found.setdefault((one.where, one.says), one)
    return list(found.values())


def shown_path(parts: Iterable[str]) -> str:
    """A dotted path for a reader: odd names in quotes, long ones cut."""
    return ".".join(
        part if _PLAIN.fullmatch(part) else json.dumps(part[:60]) for part in parts
    )


def _one(item: Any, model: type[BaseModel], where: str) -> Iterator[DesignError]:
    place = [str(part) for part in item["loc"]]
    inside = shown_path(place)
    path = f"{where}.{inside}".strip(".")
    kind, context = item["type"], item.get("ctx", {})
    if kind == "said":
        yield DesignError(path, context["says"], context["try_this"])
    elif kind == "several":
        for inner, says, try_this in context["found"]:
            yield DesignError(f"{path}.{inner}".strip("."), says, try_this)
    elif kind == "extra_forbidden":
        known = _names_at(model, item["loc"][:-1])
        near = nearest(place[-1], known)
        hint = f"Did you mean '{near}'?" if near else f"Known here: {', '.join(known)}."
        yield DesignError(path, f"{quoted(place[-1])} is not a known name.", hint)
    elif kind == "missing" and place[-1].isdigit():
        yield DesignError(
            f"{where}.{shown_path(place[:-1])}".strip("."), "it has too few entries.", "Add some."
        )
    elif kind == "missing":
        yield DesignError(path, "it is missing.", f"Add {shown_path(place[-1:])}.")
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        head = f"[{inside}]" if not any(part.isdigit() for part in place) else "{ name = value }"
        yield DesignError(path, "it is not a table.", f"Write it as {head}.")
    elif kind in ("tuple_type", "list_type"):
        yield DesignError(path, "it is not a list.", "Write it in square brackets.")
    elif kind == "too_long":
        yield DesignError(path, "it has too many entries.", "Take some out.")
    else:
        yield DesignError(path, "it cannot be read.", "Check how it is written.")


def _names_at(model: Any, loc: tuple[Any, ...]) -> list[str]:
    """Field names known at a place of a model."""
    here: Any = model
    for part in loc:
        here = _into(here, part)
    return sorted(here.model_fields) if _is_model(here) else []


def _is_model(here: Any) -> bool:
    return isinstance(here, type) and issubclass(here, BaseModel)


def _into(here: Any, part: Any) -> Any:
    if _is_model(here):
        field = here.model_fields.get(part)
        return _bare(field.annotation) if field is not None else None
    if typing.get_origin(here) is dict:
        return _bare(typing.get_args(here)[1])
    return _bare(_entry(here, part))


def _entry(here: Any, part: Any) -> Any:
    """The type of a list's entry, or None where there is no such entry."""
    args = typing.get_args(here)
    if typing.get_origin(here) is not tuple or not args or not str(part).isdigit():
        return None
    if args[-1] is Ellipsis:
        return args[0]
    return args[int(part)] if int(part) < len(args) else None


def _bare(annotation: Any) -> Any:
    """An annotation without ``None`` and without its metadata."""
    if typing.get_origin(annotation) in (types.UnionType, typing.Union):
        rest = [arg for arg in typing.get_args(annotation) if arg is not type(None)]
        annotation = rest[0]
    if typing.get_origin(annotation) is typing.Annotated:
        annotation = typing.get_args(annotation)[0]
    return annotation


def kind_at(model: Any, path: list[str]) -> Any:
    """The `Quantity` or other marker of a value's type at a path, or None."""
    here: Any = model
    for part in path[:-1]:
        here = _into(here, part)
    if _is_model(here):
        field = here.model_fields.get(path[-1])
        if field is None:
            return None
        for marker in field.metadata:
            return marker
        return _marker(field.annotation)
    return _marker(_entry(here, path[-1]))


def _marker(annotation: Any) -> Any:
    if typing.get_origin(annotation) in (types.UnionType, typing.Union):
        rest = [arg for arg in typing.get_args(annotation) if arg is not type(None)]
        annotation = rest[0]
    if typing.get_origin(annotation) is typing.Annotated:
        return typing.get_args(annotation)[1]
    return None
