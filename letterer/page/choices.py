"""Other ways to set a unit: what a person may choose from before committing.

A choice differs from the plan in what the plan may ask for: number of lines, size, width to height,
kind, or the breaks themselves. No two choices of a unit look the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import overlap
from letterer.model.effect_keys import effect_of
from letterer.model.plan import Fill
from letterer.page.effect_looks import drawn_unlike, looks_of, own_size
from letterer.page.inking import place_unit
from letterer.page.lettered import PlacedUnit
from letterer.page.unit import Job

SIZE_STEPS = (-0.5, 0.5, 1.0)
"""Sizes tried beside the planned one, in points more or less."""

WIDTHS = {"narrow": 1.25, "usual": craft.ASPECT_USUAL, "wide": 2.15}
"""Width to height of a balloon by a plain word."""

KINDS_TRIED = ("speech", "whisper", "shout", "thought", "open")

ALIKE_SHARE = 0.03
"""Two settings with the same lines whose outlines differ by less than this look the same."""

CHOICES_MOST = 12

FAR_WORSE = 0.45
"""Unless it was asked for, a choice that costs this much more than the planned one is not shown."""

SILHOUETTES = {
    "hourglass": "the lines make an hourglass",
    "staircase": "the lines make a staircase",
    "column": "the lines make a column",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the person wants to see; an empty tuple leaves it to the engine.

    `sizes` in points, `lines` are counts, `widths` are widths to height, `kinds` as in a layout.
    """

    sizes: tuple[float, ...] = ()
    lines: tuple[int, ...] = ()
    widths: tuple[float, ...] = ()
    kinds: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.sizes or self.lines or self.widths or self.kinds)


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to set a unit.

    `keys` are what a placement says to have it so. `share` is how much of the panel it covers, 0 to
    1 (0 where the panel is not known). `bends` are the rules it bends, in plain words.
    """

    number: int
    unit: PlacedUnit
    keys: Mapping[str, object]
    share: float
    bends: tuple[str, ...]


def choices(job: Job, asked: Asked, first: int = 1) -> list[Choice]:
    """Distinct ways to set one unit, numbered from `first`; the planned setting comes first.

    With nothing asked: other line counts, sizes, widths and kinds, one change at a time. With
    something asked: every combination of it.
    """
    found: list[Choice] = []
    for keys in _variants(job, asked):
        changed = _changed(job, keys)
        unit, _ = place_unit(changed)
        if any(_alike(unit, other.unit) for other in found):
            continue
        if not asked and found and _cost(unit) > _cost(found[0].unit) + FAR_WORSE:
            continue
        kept = dict(keys) | {"breaks": list(unit.breaks)} if keys and len(unit.breaks) > 1 else keys
        number = first + len(found)
        found.append(Choice(number, unit, kept, _share(changed, unit), _bends(changed, unit)))
        if len(found) == CHOICES_MOST:
            break
    return found


def _variants(job: Job, asked: Asked) -> Iterator[dict[str, object]]:
    """Changes to the placement that are worth a look."""
    if asked:
        columns: list[list[tuple[str, object] | None]] = [
            [("kind", kind) for kind in asked.kinds] or [None],
            [("lines", lines) for lines in asked.lines] or [None],
            [("size", size) for size in asked.sizes] or [None],
            [("aspect", width) for width in asked.widths] or [None],
        ]
        for row in product(*columns):
            yield dict(item for item in row if item)
        return
    yield {}
    plain = _changed(job, {})
    planned, _ = place_unit(plain)
    lines, size = len(planned.breaks), planned.size
    if job.setting.kind != "effect":
        for more in (-1, 1, -2, 2):
            if lines + more >= 1:
                yield {"lines": lines + more}
    if not job.setting.is_caption and job.setting.kind != "effect":
        yield {"aspect": WIDTHS["wide"]}
        yield {"aspect": WIDTHS["narrow"]}
    if job.setting.kind == "effect":
        for look in looks_of(job.placement.effect, size, len(job.unit.words)):
            yield {"effect": look}
    for step in SIZE_STEPS if not own_size(job.placement) else ():
        if size + step >= job.style.smallest_size:
            yield {"size": round(size + step, 2)}
    if job.setting.kind in KINDS_TRIED:
        for kind in KINDS_TRIED:
            if kind != job.setting.kind:
                yield {"kind": kind}


def _changed(job: Job, keys: Mapping[str, object]) -> Job:
    """The job with some keys of its placement changed; a change of lines frees the breaks."""
    changes: dict[str, object] = dict(keys)
    if "breaks" not in changes and changes:
        changes["breaks"] = None
    if isinstance(look := changes.get("effect"), Mapping):
        changes["effect"] = effect_of(look, job.layout.measure)
    if "lines" in changes and "aspect" not in changes:
        changes["aspect"] = None
    placement = replace(job.placement, **changes)  # type: ignore[arg-type]
    return Job.of(job.unit, placement, job.plan, job.layout, job.faces)


def _alike(one: PlacedUnit, other: PlacedUnit) -> bool:
    """True when two settings would look the same on paper."""
    if (one.breaks, one.kind) != (other.breaks, other.kind) or drawn_unlike(one, other):
        return False
    return all(
        abs(a - b) <= ALIKE_SHARE * max(a, b)
        for a, b in (
            (one.size, other.size),
            (one.box.width, other.box.width),
            (one.box.height, other.box.height),
        )
    )


def _cost(unit: PlacedUnit) -> float:
    """What the setting of a unit costs, its size left aside."""
    return sum(cost for _, cost in unit.costs)


def _flattest(unit: PlacedUnit, high: float) -> float:
    """The width to height that its widest line allows a balloon: see `fit.candidates.flattest`."""
    widths = [box.width if (box := line.box()) else 0.0 for line in unit.lines]
    widest = unit.breaks[widths.index(max(widths))]
    if " " in widest:
        return high
    if sum(char.isalnum() for char in widest) >= craft.LONG_WORD_LETTERS:
        return max(high, craft.ASPECT_LONG_WORD)
    return max(high, craft.ASPECT_ONE_WORD) if len(unit.breaks) == 1 else high


def _area(unit: PlacedUnit) -> float:
    shape = unit.shape
    return (shape or unit.ink).area


def _share(job: Job, unit: PlacedUnit) -> float:
    panel = abs(job.panel.shape.area()) if job.panel else 0.0
    return _area(unit) / panel if panel else 0.0


def _bends(job: Job, unit: PlacedUnit) -> tuple[str, ...]:
    """The rules of the trade that a setting bends, a few words each."""
    style, found = job.style, []
    costs = dict(unit.costs)
    if unit.size < style.smallest_size:
        found.append(f"smaller than {style.smallest_size:g} pt")
    if costs.get("breaks", 0.0) >= craft.COST_LONE_SHORT_WORD / 2:
        found.append("a short word alone on its line")
    found += [said for name, said in SILHOUETTES.items() if name in costs]
    if isinstance(unit.shape, Oval):
        low, high = style.aspect[0], _flattest(unit, style.aspect[1])
        if unit.shape.aspect < low - 1e-6:
            found.append("taller than balloons are")
        if unit.shape.aspect > high + 1e-6:
            found.append("wider than balloons are")
    if isinstance(job.placement.spot, Fill) and not unit.fits:
        found.append("larger than its box")
    live = job.layout.format.live
    if not live.contains(unit.ink):
        found.append("words outside the live area")
    if job.panel and not job.panel.box.contains(unit.box, slack=style.border):
        found.append("over the panel's border")
    outline = unit.outline.flattened(0.5)[0] if unit.outline else []
    for zone in job.plan.keep_clear:
        if outline and zone.box.meets(unit.box) and overlap(outline, zone.shape.flattened(0.5)[0]):
            found.append(f"covers {zone.name}")
    return tuple(found)
