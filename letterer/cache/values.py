"""Frozen values as plain text, and back: what keys are taken of, and how records are kept.

The text is JSON, so that reading it back can do no harm, whoever wrote it: it names classes, and
only those that the reader was given are made.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from pathlib import Path, PurePath
from typing import Any

from pydantic import BaseModel

CLASS = ""
"""The key that names a value's class; no field has an empty name."""

IN_ORDER = "="
"""The key of what a named tuple holds, in order; there are many of them."""


def text_of(value: object) -> bytes:
    """A value as text: two values have the same text only if they are equal in every field, in
    those that `==` leaves out too. Raises TypeError for what is no plain or frozen value.

    >>> text_of((1, 1.0, "a", None))
    b'[1,1.0,"a",null]'
    """
    return json.dumps(_plain(value), separators=(",", ":")).encode()


def digest_of(value: object) -> str:
    """The digest of a value's text, in hexadecimal."""
    return hashlib.blake2b(text_of(value), digest_size=32).hexdigest()


def value_of(text: bytes, classes: Mapping[str, Callable[..., object]]) -> Any:
    """The value that a text stands for, made of these classes by name alone. Raises ValueError."""

    def made(plain: dict[str, Any]) -> object:
        name = plain.pop(CLASS)
        if name == "file":
            return Path(plain["path"])
        if name == "bytes":
            return base64.b64decode(plain["base64"])
        if IN_ORDER in plain:
            return classes[name](*_tuples(plain[IN_ORDER]))
        return classes[name](**{key: _tuples(one) for key, one in plain.items()})

    try:
        return _tuples(json.loads(text, object_hook=made))
    except (TypeError, KeyError, RecursionError) as error:
        raise ValueError(f"no such value ({error})") from error


def _plain(value: object) -> object:
    if isinstance(value, Enum):  # before str, since many are both
        return {CLASS: type(value).__name__, "value": _plain(value.value)}
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, bytes):
        return {CLASS: "bytes", "base64": base64.b64encode(value).decode("ascii")}
    if is_dataclass(value) and not isinstance(value, type):
        return _named(value, _fields(type(value)))
    if isinstance(value, tuple):
        plain = [_plain(one) for one in value]
        return (
            {CLASS: type(value).__name__, IN_ORDER: plain} if hasattr(value, "_fields") else plain
        )
    if isinstance(value, BaseModel):
        # What was given counts apart from what was left as it is: see `Style.changed`.
        kept = _named(value, list(type(value).model_fields))
        return {**kept, "given": sorted(value.model_fields_set)}
    if isinstance(value, Mapping):
        return {CLASS: "mapping", "items": [[_plain(k), _plain(v)] for k, v in value.items()]}
    if isinstance(value, list):
        return {CLASS: "list", "items": [_plain(one) for one in value]}
    if isinstance(value, PurePath):
        return {CLASS: "file", "path": str(value)}
    raise TypeError(f"{type(value).__name__} is no plain value")


@cache
def _fields(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _named(value: object, names: Iterable[str]) -> dict[str, object]:
    told: dict[str, object] = {CLASS: type(value).__name__}
    for name in names:
        told[name] = _plain(getattr(value, name))
    return told


def _tuples(value: Any) -> Any:
    """A value with tuples where JSON has lists."""
    return tuple([_tuples(one) for one in value]) if type(value) is list else value
