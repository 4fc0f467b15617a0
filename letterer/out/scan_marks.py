"""Finds the four marks of a sheet in a scan of it, to a small part of a pixel.

First roughly, in a small copy of the scan: every place is compared with marks of several sizes, by
normalised correlation, and of the places most like one, four are looked for that stand as the
page's marks do. Then finely, at full resolution: an ideal mark is moved until it agrees best with
what is seen, and pixels that disagree too much (drawn over, a hole) count for little.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import Point
from letterer.out.guide_marks import CORNERS, DOT, HEAD, RADIUS, RING
from letterer.out.scan_map import ScanMap, map_from

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

SMALL_SIDE = (1000, 1800)
"""Long side of the small copy in pixels; the second is tried where the first shows no marks."""

SHARES = (0.42, 1.0)
"""The sheet's marks span between these shares of the scan."""

SIZE_STEP = 1.1
COLLAR = 1.3
"""A mark is compared with the blank paper around it, so far out in its radii."""

LIKE, LIKE_DAMAGED = 0.42, 0.3
"""Least correlation of a mark, and of one that the three others point at."""

PLACES_MOST = 36
APART = 0.05
"""A mark may stand this share of the page's diagonal from where an even scale would have it."""

UPRIGHT = 0.5
"""Where ink covers the bar, a sheet is taken to lie upright: most people scan it so."""

SIZE_OFF = 1.12
"""Sizes of marks, tried by steps, are known this well."""

SOFT = 0.07
"""How soft the edges of a mark are taken to be, in its radii."""

SAMPLES = 72
FINE_ROUNDS = 25
STILL = 1e-4
FAINT = 0.08
"""A mark that is darker than the paper by less than this cannot be told from it."""

OTHER_PAGE = 0.06
"""Marks grow with their sheet: those larger or smaller than this by its measure are of another."""

REACH = 0.75
"""How far from the rough place a mark is looked for finely, in its radii."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place like a mark: pixels of the small copy, radius in pixels, and how like it is."""

    at: Point
    radius: float
    like: float


def find_marks(scan: Any, marks: Sequence[Point]) -> tuple[Point, ...]:
    """Where a page's marks (in points of the page, clockwise) are in a scan, a Pillow image in
    grey; in pixels of the scan. Raises LettererError where one of them cannot be found."""
    three: dict[int, Point] = {}
    for side in SMALL_SIDE:
        small, factor = _small(scan, side)
        places = _places(small, marks)
        found = _four(small, places, marks)
        if found is None:
            found, some = _three(small, places, marks)
            if len(some) == 3:
                three = {n: Point(at.x * factor[0], at.y * factor[1]) for n, at in some.items()}
        if found is not None:
            rough = [Point(at.x * factor[0], at.y * factor[1]) for at in found]
            return _fine(scan, rough, marks)
        if max(scan.size) <= side:
            break
    raise LettererError(_but_three(scan, three, marks) if three else _not_found(()))


def _but_three(scan: Any, three: dict[int, Point], marks: Sequence[Point]) -> Fault:
    """What is told where three marks are found: which is missing, and where the others are."""
    (gone,) = {0, 1, 2, 3} - set(three)
    before, across, after = (three[(gone + step) % 4] for step in (1, 2, 3))
    fourth = before.shifted(after.x - across.x, after.y - across.y)
    turned = map_from(marks, [three.get(place, fourth) for place in range(4)])
    fits = [_fitted(scan, turned, marks[place], three[place], REACH) for place in sorted(three)]
    if min(fit.agree for fit in fits) < craft.SCAN_MARK_LIKE:  # they only look a little like marks
        return _not_found(())
    return _not_found((gone,), [fit.at for fit in fits])


def _not_found(missing: Sequence[int], others: Sequence[Point] = ()) -> Fault:
    mend = (
        "Scan the whole sheet, or give four points yourself:"
        " --marks x,y x,y x,y x,y, in pixels, clockwise from the top left"
    )
    if len(others) == 3:
        known = " ".join(f"{at.x:.1f},{at.y:.1f}" for at in others)
        mend += f"; the other three are at {known}"
    if not missing or len(missing) > 2:
        return Fault("the corner marks of the sheet are not in this scan", mend)
    names = " and ".join(CORNERS[place] for place in missing)
    many = "mark is" if len(missing) == 1 else "marks are"
    return Fault(f"the {names} {many} missing in this scan, or drawn over", mend)


def _small(scan: Any, side: int) -> tuple[Floats, tuple[float, float]]:
    """A small copy, dark as 1 and light as 0, and how many pixels of the scan one of it is."""
    from PIL import Image

    most = max(scan.size)
    size = tuple(max(round(length * min(side / most, 1.0)), 8) for length in scan.size)
    copy = scan if size == scan.size else scan.resize(size, Image.Resampling.BOX)
    dark = 1.0 - np.asarray(copy, dtype=np.float32) / 255.0
    return dark, (scan.width / size[0], scan.height / size[1])


# --- Roughly ----------------------------------------------------------------------------------


def _mark(radius: Doubles | Floats) -> Doubles:
    """How dark an ideal mark is at a distance from its middle, in its radii: 0 to 1."""

    def step(edge: float) -> Doubles:
        return np.asarray(0.5 - 0.5 * np.tanh((radius - edge) / SOFT), dtype=np.float64)

    return step(1.0) - step(RING) + step(DOT)


def _places(small: Floats, marks: Sequence[Point]) -> list[Place]:
    """The places most like a mark, the likest first."""
    height, width = small.shape
    wide, high = marks[0].distance(marks[1]), marks[0].distance(marks[3])
    most = max(min(width / wide, height / high), min(height / wide, width / high))
    best = np.full(small.shape, -1.0, dtype=np.float32)
    sizes = np.zeros(small.shape, dtype=np.float32)
    most_reach = math.ceil(most * SHARES[1] * RADIUS * COLLAR)
    shape = [_smooth(side + most_reach) for side in small.shape]
    plain, squared = np.fft.rfft2(small, shape), np.fft.rfft2(small * small, shape)
    tried = most * SHARES[1] * RADIUS
    while tried >= most * SHARES[0] * RADIUS and tried >= 2.5:
        likeness = _likeness((plain, squared), (shape[0], shape[1]), small.shape, tried)
        better = likeness > best
        best[better] = likeness[better]
        sizes[better] = tried
        tried /= SIZE_STEP
    found: list[Place] = []
    while len(found) < PLACES_MOST:
        row, column = divmod(int(best.argmax()), width)
        like = float(best[row, column])
        if like < LIKE_DAMAGED:
            break
        size = float(sizes[row, column])
        found.append(Place(Point(column + 0.5, row + 0.5), size, like))
        reach = int(size) + 1
        best[
            max(row - reach, 0) : row + reach + 1, max(column - reach, 0) : column + reach + 1
        ] = -1.0
    return found


def _smooth(least: int) -> int:
    """The next number from here on without a prime above 5: Fourier's transform is quick there."""
    found = least
    while True:
        rest = found
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return found
        found += 1


def _likeness(
    image: tuple[Any, Any], shape: tuple[int, int], size: tuple[int, ...], radius: float
) -> Floats:
    """The correlation of every place with a mark of a radius in pixels (the Fourier transforms of
    the image and of its square are given)."""
    reach = math.ceil(radius * COLLAR)
    steps = np.arange(-reach, reach + 1)
    far = np.hypot(steps[:, None], steps[None, :]) / radius
    mask = (far <= COLLAR).astype(np.float64)
    count = float(mask.sum())
    ideal = _mark(far) * mask
    ideal = (ideal - ideal.sum() / count) * mask

    def turned(part: Doubles) -> Any:
        return np.conj(np.fft.rfft2(part.astype(np.float32), shape))

    def compared(with_: Any, part: Any) -> Floats:
        whole = np.roll(np.fft.irfft2(with_ * part, shape), (reach, reach), axis=(0, 1))
        return np.asarray(whole[: size[0], : size[1]], dtype=np.float32)

    around = turned(mask)
    spread = compared(image[1], around) - compared(image[0], around) ** 2 / count
    least = count * 0.05**2
    strength = np.sqrt(np.maximum(spread, least) * float((ideal**2).sum()))
    return np.asarray(compared(image[0], turned(ideal)) / strength, dtype=np.float32)


def _four(small: Floats, places: Sequence[Place], marks: Sequence[Point]) -> list[Point] | None:
    """The four places that stand as the page's marks do and are likest to them."""
    likely = [place for place in places if place.like >= LIKE]
    best, found = 0.0, None
    for first, third in permutations(likely, 2):
        turned = _turned(marks[0], marks[2], first, third)
        if turned is None:
            continue
        chosen = [first, _nearest(likely, turned, marks[1]), third]
        chosen.append(_nearest(likely, turned, marks[3]))
        if None in chosen:
            continue
        sure = [place for place in chosen if place is not None]
        middles = [place.at for place in sure]
        upright = UPRIGHT * turned[0].real / abs(turned[0])
        worth = sum(place.like for place in sure) + _headed(small, middles, marks) + upright
        if worth > best:
            best, found = worth, middles
    return found


Turned = tuple[complex, complex, float]
"""An even scale and turn, as complex numbers: factor, shift, and how far off a mark may be."""


def _turned(one: Point, other: Point, first: Place, second: Place) -> Turned | None:
    """The even scale and turn that takes two marks to two places, if their sizes agree with it."""
    factor = (complex(*second.at) - complex(*first.at)) / (complex(*other) - complex(*one))
    scale = abs(factor)
    for place in (first, second):
        if not 1 / SIZE_OFF <= place.radius / max(scale * RADIUS, 1e-9) <= SIZE_OFF:
            return None
    apart = max(APART * scale * math.dist(one, other), 2.5)
    return factor, complex(*first.at) - factor * complex(*one), apart


def _nearest(places: Sequence[Place], turned: Turned, mark: Point) -> Place | None:
    """The place where a mark should be, or None."""
    factor, shift, apart = turned
    there = factor * complex(*mark) + shift
    near = [place for place in places if abs(complex(*place.at) - there) <= apart]
    size = abs(factor) * RADIUS
    near = [place for place in near if 1 / SIZE_OFF <= place.radius / size <= SIZE_OFF]
    return max(near, key=lambda place: place.like, default=None)


def _headed(small: Floats, seen: Sequence[Point], marks: Sequence[Point]) -> float:
    """How much darker the bar under the first mark is than where the other corners would have
    it."""
    turned = map_from(marks, seen)
    dark = []
    for place, mark in enumerate(marks):
        # Under the first mark, and where it would be if the sheet stood on another side.
        turn = complex(0, 1) ** place
        values = []
        for share in (0.25, 0.5, 0.75):
            y = HEAD.top + (HEAD.bottom - HEAD.top) * share
            moved = complex(0, y) * turn
            at = turned.apply(mark.shifted(moved.real, moved.imag))
            row, column = math.floor(at.y), math.floor(at.x)
            inside = 0 <= row < small.shape[0] and 0 <= column < small.shape[1]
            values.append(float(small[row, column]) if inside else 0.0)
        dark.append(sorted(values)[1])
    return dark[0] - max(dark[1:])


def _three(
    small: Floats, places: Sequence[Place], marks: Sequence[Point]
) -> tuple[list[Point] | None, dict[int, Point]]:
    """All four where three are found and the fourth, though damaged, is there; else the best three
    by their corners, or none."""
    best, kept = 0.0, None
    some: dict[int, Point] = {}
    likely = [place for place in places if place.like >= LIKE]
    for first, second in permutations(likely, 2):
        for one, other in ((0, 2), (1, 3), (0, 1), (1, 2), (2, 3), (3, 0)):
            turned = _turned(marks[one], marks[other], first, second)
            if turned is None:
                continue
            found: dict[int, Place] = {one: first, other: second}
            for place in {0, 1, 2, 3} - {one, other}:
                near = _nearest(places, turned, marks[place])
                if near is not None:
                    found[place] = near
            upright = 0.05 * (turned[0].real / abs(turned[0]))
            worth = len(found) + 0.1 * sum(place.like for place in found.values()) + upright
            if len(found) > 2 and worth > best:
                best = worth
                some = {place: at.at for place, at in found.items()}
                kept = [found[place].at for place in range(4)] if len(found) == 4 else None
    if kept is not None:
        back = [kept[2], kept[3], kept[0], kept[1]]
        if _headed(small, back, marks) > _headed(small, kept, marks) + UPRIGHT:
            kept = back
    return kept, some


# --- Finely -----------------------------------------------------------------------------------


def _fine(scan: Any, rough: Sequence[Point], marks: Sequence[Point]) -> tuple[Point, ...]:
    """Marks found again at full resolution; twice, for the second time they lie nearer."""
    seen = list(rough)
    fits: list[_Fit] = []
    for reach in (REACH, REACH / 3):
        turned = map_from(marks, seen)
        fits = [
            _fitted(scan, turned, mark, at, reach) for mark, at in zip(marks, seen, strict=True)
        ]
        seen = [fit.at for fit in fits]
    lost = [place for place, fit in enumerate(fits) if fit.agree < craft.SCAN_MARK_LIKE]
    if lost:
        others = [at for place, at in enumerate(seen) if place not in lost]
        raise LettererError(_not_found(lost, others))
    size = float(np.median([fit.size for fit in fits]))
    if abs(size - 1) > OTHER_PAGE:
        what = "the marks in this scan are those of a page of another size"
        raise LettererError(Fault(what, "Check the layout, and that it is the right scan"))
    return tuple(seen)


class _Fit(NamedTuple):
    """One mark as fitted: its middle in pixels, the share of its pixels that agree with an ideal
    one, and its size, as a share of what it should be."""

    at: Point
    agree: float
    size: float


def _fitted(scan: Any, turned: ScanMap, mark: Point, near: Point, reach: float) -> _Fit:
    """One mark fitted, not far from a place in pixels."""
    here = turned.apply(mark)
    sides = [turned.apply(mark.shifted(*step)) for step in ((RADIUS, 0), (0, RADIUS))]
    right, down = (np.array(side) - np.array(here) for side in sides)
    patch, corner, step = _patch(scan, near, (right, down), COLLAR + reach)
    span = COLLAR + reach
    grid = np.linspace(-span, span, SAMPLES)
    across, along = np.meshgrid(grid, grid)
    x = (near.x + across * right[0] + along * down[0] - corner[0]) / step - 0.5
    y = (near.y + across * right[1] + along * down[1] - corner[1]) / step - 0.5
    seen = _sampled(patch, x, y)
    dx, dy = _shift(seen, grid, reach)
    dx, dy, agree, size = _settled(seen, (across, along), (dx, dy))
    at = np.array(near) + dx * right + dy * down
    return _Fit(Point(float(at[0]), float(at[1])), agree, size)


def _patch(
    scan: Any, near: Point, sides: tuple[Doubles, Doubles], span: float
) -> tuple[Doubles, tuple[int, int], int]:
    """A piece of the scan around a place, dark as 1; its corner in pixels of the scan, and how many
    of them one of its own is."""
    from PIL import Image

    half = span * max(float(np.abs(sides[0]).sum()), float(np.abs(sides[1]).sum())) + 3
    step = max(int(2 * span * float(np.hypot(*sides[0])) / SAMPLES), 1)
    left, top = math.floor(near.x - half), math.floor(near.y - half)
    many = math.ceil(2 * half / step)
    side = many * step
    x, y = max(left, 0), max(top, 0)
    right, bottom = min(left + side, scan.width), min(top + side, scan.height)
    piece = Image.new("L", (side, side), 255)
    if x < right and y < bottom:
        piece.paste(scan.crop((x, y, right, bottom)), (x - left, y - top))
    piece = piece.reduce(step) if step > 1 else piece
    return 1.0 - np.asarray(piece, dtype=np.float64) / 255.0, (left, top), step


def _sampled(patch: Doubles, x: Doubles, y: Doubles) -> Doubles:
    """Values between pixels, by bilinear interpolation."""
    height, width = patch.shape
    x, y = np.clip(x, 0, width - 1.001), np.clip(y, 0, height - 1.001)
    left, top = x.astype(np.intp), y.astype(np.intp)
    fx, fy = x - left, y - top
    upper = patch[top, left] * (1 - fx) + patch[top, left + 1] * fx
    lower = patch[top + 1, left] * (1 - fx) + patch[top + 1, left + 1] * fx
    return np.asarray(upper * (1 - fy) + lower * fy, dtype=np.float64)


def _shift(seen: Doubles, grid: Doubles, reach: float) -> tuple[float, float]:
    """The shift of an ideal mark, in its radii and in steps of the samples, that is likest."""
    step = float(grid[1] - grid[0])
    half = int(COLLAR / step)
    ticks = np.arange(-half, half + 1) * step
    far = np.hypot(ticks[:, None], ticks[None, :])
    mask = far <= COLLAR
    ideal = _mark(far)[mask]
    ideal = ideal - ideal.mean()
    windows = np.lib.stride_tricks.sliding_window_view(seen, (len(ticks), len(ticks)))
    middle = (len(grid) - 1) / 2
    best, found = -2.0, (0.0, 0.0)
    for row in range(windows.shape[0]):
        values = windows[row][:, mask]
        values = values - values.mean(axis=1, keepdims=True)
        strength = np.sqrt(np.maximum((values**2).sum(axis=1), 1e-6) * (ideal**2).sum())
        like = values @ ideal / strength
        column = int(like.argmax())
        if like[column] > best:
            best = float(like[column])
            found = ((column + half - middle) * step, (row + half - middle) * step)
    return found


def _settled(
    seen: Doubles, places: tuple[Doubles, Doubles], shift: tuple[float, float]
) -> tuple[float, float, float, float]:
    """Gauss and Newton's steps to the shift and size at which an ideal mark agrees best, its pixels
    weighed by Tukey's biweight (both from memory). Gives the share of pixels that agree as well,
    before the size."""
    dx, dy = shift
    agree, size, dark, light = 0.0, 1.0, 1.0, 0.0
    for turn in range(FINE_ROUNDS):
        u, v = (places[0] - dx) / size, (places[1] - dy) / size
        far = np.maximum(np.hypot(u, v), 1e-9)
        mask = far <= COLLAR
        far, u, v = far[mask], u[mask], v[mask]
        ideal = _mark(far)
        slope = (_mark(far + 1e-3) - _mark(far - 1e-3)) / 2e-3
        values = seen[mask]
        if turn == 0:
            dark = float(np.median(values[ideal > 0.9]))
            light = float(np.median(values[ideal < 0.1]))
        depth = dark - light
        if depth < FAINT:
            return dx, dy, 0.0, size
        left = values - light - depth * ideal
        spread = max(1.4826 * float(np.median(np.abs(left))), 0.04 * depth, 0.01)
        weight = np.clip(1 - (left / (4.685 * spread)) ** 2, 0.0, None) ** 2
        agree = float((np.abs(left) < 0.35 * max(depth, 0.1)).mean())
        steep = -slope * depth / size
        design = np.column_stack(
            [steep * u / far, steep * v / far, steep * far, ideal, np.ones(len(ideal))]
        )
        square = design.T @ (design * weight[:, None]) + np.eye(5) * 1e-9
        step = np.linalg.solve(square, design.T @ (weight * left))
        by = np.clip(step[:3], -0.2, 0.2)
        dx, dy, size = dx + float(by[0]), dy + float(by[1]), size + float(by[2])
        size = min(max(size, 0.7), 1.4)
        dark, light = dark + float(step[3] + step[4]), light + float(step[4])
        if float(np.abs(by).sum()) < STILL:
            break
    return dx, dy, agree, size
