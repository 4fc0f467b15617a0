"""Faults in a JSON file in plain words: which value it is, where it stands, and how to mend it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from letterer.errors import Fault, nearest
from letterer.model.json_text import Document, Loc, Plain, Trouble, short

Models = Mapping[str, type[BaseModel]]
"""The model of the objects behind each key; the outermost one is behind ''."""

TAGS = frozenset(
    {"@name", "@own", "@one", "@four", "@mouth", "@point", "@tail", "@several", "@gap", "@flush"}
)
"""Marks that tell the forms of a value apart inside the models; no place in the file."""

_NUMBERS_IN = {
    "box": ("left", "top", "width", "height"),
    "trim": ("width", "height"),
    "live": ("left", "top", "right", "bottom"),
    "aspect": ("least", "most"),
    "center": ("x", "y"),
    "centre": ("x", "y"),
    "at": ("x", "y"),
    "mouths": ("x", "y"),
    "polygon": ("x", "y"),
    "tails": ("x", "y"),
    "to": ("x", "y"),
    "via": ("x", "y"),
    "path": ("x", "y"),
    "corners": ("x", "y"),
    "by": ("dx", "dy"),
}

_NOUNS = {
    "polygon": "point",
    "tails": "tail",
    "via": "point",
    "path": "point",
    "corners": "corner",
    "outlines": "outline",
}

_OBJECTS = {
    "": "the file",
    "pages": "a page",
    "page": "'page'",
    "style": "a style",
    "art": "'art'",
    "panels": "a panel",
    "keep_clear": "a zone to keep clear",
    "focus": "a focus",
    "placements": "a placement",
    "tails": "a tail",
    "mouths": "'mouths'",
    "kinds": "a style",
    "speakers": "a style",
    "accepted": "an accepted finding",
    "effect": "an effect",
    "outlines": "an outline of an effect",
    "shadow": "the shadow of an effect",
}

_KINDS = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text in double quotes",
    "bool_type": "true or false",
    "tuple_type": "a list in square brackets, [ ]",
    "dict_type": "keys and values in curly brackets, { }",
    "model_type": "keys and values in curly brackets, { }",
    "model_attributes_type": "keys and values in curly brackets, { }",
}

_BOUNDS = {
    "greater_than": ("more than", "gt"),
    "greater_than_equal": ("at least", "ge"),
    "less_than": ("less than", "lt"),
    "less_than_equal": ("at most", "le"),
}


def plain_troubles(error: ValidationError, models: Models, base: Loc = ()) -> list[Trouble]:
    """What a model found wrong, each in plain words; `base` is where the checked value stands."""
    found: list[Trouble] = []
    for detail in error.errors(include_url=False):
        inner = tuple(step for step in detail["loc"] if step not in TAGS)
        found.append(_trouble((*base, *inner), detail["type"], detail, models))
    return found


def as_faults(document: Document, troubles: Iterable[Trouble]) -> list[Fault]:
    """Troubles with file, line, page and unit, in the order of the file, each told once."""
    unusable = set(document.unusable())
    slips = set(document.slips)
    told: dict[Fault, int] = {}
    for trouble in troubles:
        around = (trouble.loc[:most] for most in range(len(trouble.loc) + 1))
        if trouble not in slips and any(loc in unusable for loc in around):
            continue
        offset = document.at(trouble.loc)[1] if trouble.offset is None else trouble.offset
        page, unit = _where(document.plain, trouble.loc)
        fault = Fault(
            trouble.what.replace("{it}", phrase(trouble.loc, document.plain)),
            trouble.mend,
            file=document.file,
            line=document.line(offset),
            page=page,
            unit=unit,
        )
        told.setdefault(fault, offset)
    return sorted(told, key=lambda fault: told[fault])


def phrase(loc: Loc, raw: Plain) -> str:
    """A value's place in plain words, from the inside out.

    >>> phrase(("pages", 0, "panels", 0, "box", 2), {"pages": ({"panels": ({"panel": 4},)},)})
    "the width in 'box' of panel 4"
    """
    match loc:
        case ("pages", int(), "placements", int(place), *inner):
            if isinstance(_of(raw, loc[:4], "unit"), str):
                return _inner(inner) or "this placement"
            whole = f"placement {place + 1}"
            return f"{_inner(inner)} of {whole}" if inner else whole
        case ("pages", int(), "panels" | "keep_clear" | "focus" as kind, int(place), *inner):
            owner = _owner(loc, raw, kind, place)
            joint = "in" if inner[:1] == ["mouths"] else "of"
            return f"{_inner(inner)} {joint} {owner}" if inner else owner
        case ("pages", int(), *inner) if inner:
            return _inner(inner)
    return _inner(list(loc)) or "the file"


def _inner(steps: list[str | int]) -> str:
    """Names joined by 'of', the innermost first: the x of point 3 of 'polygon'."""
    if not steps:
        return ""
    keys = [step for step in steps if isinstance(step, str)]
    key = keys[-1] if keys else ""
    last = steps[-1]
    if isinstance(last, str):
        if len(keys) > 1 and keys[-2] == "mouths":
            return f"the mouth of {short(last)}" + _rest(steps[:-2])
        return f"'{short(last)}'" + _rest(steps[:-1])
    owner = keys[-2] if len(keys) > 1 and keys[-2] == "mouths" else key
    before = steps[:-1]
    if not before:
        return f"entry {last + 1} of the file"
    deep = isinstance(before[-1], int)
    listed = ("polygon", "tails", "via", "pages", "placements", "panels", "keep_clear", "focus")
    if owner in (*listed, "accepted", "path", "corners", "outlines"):
        if deep:
            return _number(owner, last) + f" of {_inner(before)}"
        noun = _NOUNS.get(owner, "entry")
        return f"{noun} {last + 1} of {_inner(before)}"
    return f"{_number(owner, last)} in {_inner(before)}"


def _number(owner: str, place: int) -> str:
    names = _NUMBERS_IN.get(owner, ())
    return f"the {names[place]}" if place < len(names) else f"entry {place + 1}"


def _rest(steps: list[str | int]) -> str:
    return f" of {_inner(steps)}" if steps else ""


def _owner(loc: Loc, raw: Plain, kind: str, place: int) -> str:
    """A panel by its number, a zone or focus by its name; otherwise by its place in the list."""
    if kind == "panels":
        number = _of(raw, loc[:4], "panel")
        known = isinstance(number, int) and not isinstance(number, bool)
        return f"panel {number}" if known else f"the panel at place {place + 1} of 'panels'"
    name = _of(raw, loc[:4], "name")
    noun = "the zone" if kind == "keep_clear" else "the focus"
    if isinstance(name, str) and name:
        return f"{noun} '{short(name)}'"
    return f"{noun} at place {place + 1} of '{kind}'"


def _where(raw: Plain, loc: Loc) -> tuple[int, str]:
    """The page and the unit that a place belongs to: 0 and '' when there is none."""
    if len(loc) < 2 or loc[0] != "pages":
        return 0, ""
    number = _of(raw, loc[:2], "page")
    page = number if isinstance(number, int) and not isinstance(number, bool) else 0
    if len(loc) < 4 or loc[2] != "placements":
        return max(page, 0), ""
    unit = _of(raw, loc[:4], "unit")
    return max(page, 0), short(unit) if isinstance(unit, str) else ""


def _of(raw: Plain, loc: Loc, key: str) -> Plain:
    value = raw
    for step in (*loc, key):
        if isinstance(value, dict) and isinstance(step, str):
            value = value.get(step)
        elif isinstance(value, tuple) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return None
    return value


def _trouble(loc: Loc, kind: str, detail: Mapping[str, Any], models: Models) -> Trouble:
    given, context = detail.get("input"), detail.get("ctx", {})
    if kind == "plain":
        what = str(context.get("what", detail["msg"]))
        told = f", and it is {shown(given)}" if what.startswith("must") else ""
        return Trouble(loc, f"{{it}} {what}{told}")
    if kind == "missing":
        return _missing(loc, given)
    if kind == "extra_forbidden":
        return _unknown_key(loc, models)
    if kind in _KINDS:
        return _wrong_kind(loc, _KINDS[kind], given)
    if kind in _BOUNDS:
        words, bound = _BOUNDS[kind]
        least = context[bound]
        # A length's lower bound is there to stop slips; a person thinks of it as "more than 0".
        told = "more than 0" if 0 < least < 0.01 else f"{words} {least:,.10g}".replace(",", "")
        return Trouble(loc, f"{{it}} must be {told}, and it is {shown(given)}")
    if kind == "literal_error":
        return _not_among(loc, given, str(context["expected"]))
    if kind == "string_too_short":
        return Trouble(loc, "{it} is empty", "Write something between the quotes")
    if kind in ("too_short", "too_long"):
        return _wrong_count(loc, kind, context)
    return Trouble(loc, f"{{it}} cannot be used as it is: {shown(given)}")


def _missing(loc: Loc, given: object) -> Trouble:
    last = loc[-1]
    if isinstance(last, int):
        names = _names(loc[:-1])
        have = len(given) if isinstance(given, tuple) else last
        return _count_told(loc[:-1], names, have)
    behind = _behind(loc[:-1])
    name = _OBJECTS.get(behind, "the file")
    mend = _EXAMPLES.get((behind, last), "")
    return Trouble(loc[:-1], f"the key '{last}' is missing in {name}", mend)


_EXAMPLES = {
    ("", "letterer"): 'Add the version of the file format: "letterer": 1',
    ("", "unit"): 'Add the unit of all lengths, one of mm, in, pt, px: "unit": "mm"',
    ("", "page"): 'Add the measures of the page: "page": {"format": "a4"}',
    ("pages", "page"): 'Add its number, "page": 1',
    ("art", "file"): 'Add the path of the picture, "file": "art/page-1.png"',
    ("panels", "panel"): 'Add its number, "panel": 1',
    ("keep_clear", "name"): 'Add a name of your own, "name": "her face"',
    ("focus", "name"): 'Add a name of your own, "name": "the lamp"',
    ("focus", "at"): 'Add the place, "at": [x, y]',
    ("placements", "unit"): 'Add the number of the unit, page.panel.number: "unit": "1.3.2"',
    ("outlines", "weight"): 'Add it in points, "weight": 1.2',
    ("shadow", "by"): 'Add how far it lies to the right and below, in points: "by": [3, 3]',
    ("tails", "to"): 'Add whom it goes to, "to": "ADA", or a point, "to": [x, y]',
    ("accepted", "finding"): 'Add the kind of finding, "finding": "long tail"',
    ("accepted", "because"): 'Add your reason, "because": "he calls from far off"',
}


def _unknown_key(loc: Loc, models: Models) -> Trouble:
    word, behind = str(loc[-1]), _behind(loc[:-1])
    if len(loc) > 2 and loc[-3] in ("kinds", "speakers"):  # keyed by names of the person's own
        behind = str(loc[-3])
    model = models.get(behind)
    known = [field.alias or name for name, field in model.model_fields.items()] if model else []
    near = nearest(word, known)
    mend = f"Did you mean '{near}'?" if near else f"Known keys: {', '.join(known)}"
    return Trouble(loc, f"there is no key '{short(word)}' in {_OBJECTS.get(behind, 'it')}", mend)


def _wrong_kind(loc: Loc, wanted: str, given: object) -> Trouble:
    mend = ""
    names = _names(loc)
    if wanted.startswith("a list") and names:
        wanted = f"{len(names)} numbers in square brackets, [{', '.join(names)}]"
    if isinstance(given, str) and wanted in ("a number", "a whole number"):
        mend = "Take the quotes away" if _is_number(given) else ""
    return Trouble(loc, f"{{it}} must be {wanted}, and it is {shown(given)}", mend)


def _not_among(loc: Loc, given: object, expected: str) -> Trouble:
    options = [option.strip("' ") for option in expected.replace(" or ", ", ").split(", ")]
    near = nearest(given, options) if isinstance(given, str) else None
    quoted = ", ".join(options)
    mend = f"Did you mean '{near}'?" if near else f"Choose one of these: {quoted}"
    return Trouble(loc, f"{{it}} cannot be {shown(given)}", mend)


def _wrong_count(loc: Loc, kind: str, context: Mapping[str, Any]) -> Trouble:
    have = context["actual_length"]
    names = _names(loc)
    if names:
        return _count_told(loc, names, have)
    bound = context["min_length"] if kind == "too_short" else context["max_length"]
    words = "at least" if kind == "too_short" else "at most"
    noun = "points" if loc[-1:] in (("polygon",), ("corners",)) else "entries"
    return Trouble(loc, f"{{it}} needs {words} {bound} {noun}, and it has {have}")


def _count_told(loc: Loc, names: tuple[str, ...], have: object) -> Trouble:
    wanted = f"{len(names)} numbers, [{', '.join(names)}]"
    return Trouble(loc, f"{{it}} needs {wanted}, and it has {have}")


def _names(loc: Loc) -> tuple[str, ...]:
    """What the numbers of a list are called; empty when it is no list of a few numbers."""
    if loc[-1:] and loc[-1] in ("polygon", "tails", "mouths", "path", "corners"):
        return ()
    keys = [step for step in loc if isinstance(step, str)]
    if keys[-2:-1] == ["mouths"]:
        return _NUMBERS_IN["mouths"]
    return _NUMBERS_IN.get(keys[-1], ()) if keys else ()


def _behind(loc: Loc) -> str:
    return next((step for step in reversed(loc) if isinstance(step, str)), "")


def shown(given: object) -> str:
    """A value for a message, short, as it would stand in the file.

    >>> shown("7"), shown(True), shown({"a": 1}), shown(())
    ('"7"', 'true', 'keys in curly brackets', 'a list')
    """
    if isinstance(given, dict):
        return "keys in curly brackets"
    if isinstance(given, list | tuple):
        return "a list"
    return short(json.dumps(given, ensure_ascii=False))


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
