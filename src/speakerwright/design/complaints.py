"""Sentences for what a model refuses: no library's wording reaches the reader."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel, ValidationError

from speakerwright.design.values import nearest
from speakerwright.words.errors import DesignError


def sentences(error: ValidationError, model: type[BaseModel], where: str) -> list[DesignError]:
    """Every complaint as a `DesignError`, each place once."""
    found: dict[tuple[str, str], DesignError] = {}
    for item in error.errors(include_url=False):
        for one in _one(item, model, where):
            found.setdefault((one.where, one.says), one)
    return list(found.values())


def _one(item: Any, model: type[BaseModel], where: str) -> Iterator[DesignError]:
    place = [str(part) for part in item["loc"]]
    path = ".".join([where, *place] if where else place)
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
        yield DesignError(path, f"'{place[-1][:60]}' is not a known name.", hint)
    elif kind == "missing":
        yield DesignError(path, "it is missing.", f"Add {place[-1]}.")
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        yield DesignError(path, "it is not a table.", f"Write it as [{path}].")
    elif kind in ("tuple_type", "list_type"):
        yield DesignError(path, "it is not a list.", "Write it in square brackets.")
    elif kind == "too_long" or (kind == "missing" and place[-1:] and place[-1].isdigit()):
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
    args = typing.get_args(here)
    if typing.get_origin(here) is dict:
        return _bare(args[1])
    if typing.get_origin(here) is tuple and args:
        return _bare(args[0] if args[-1] is Ellipsis else args[min(int(part), len(args) - 1)])
    return None


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
    args = typing.get_args(here)
    if typing.get_origin(here) is tuple and args:
        return _marker(args[0] if args[-1] is Ellipsis else args[int(path[-1])])
    return None


def _marker(annotation: Any) -> Any:
    if typing.get_origin(annotation) in (types.UnionType, typing.Union):
        rest = [arg for arg in typing.get_args(annotation) if arg is not type(None)]
        annotation = rest[0]
    if typing.get_origin(annotation) is typing.Annotated:
        return typing.get_args(annotation)[1]
    return None
