"""Slivers of art that are shut in between letters, their lines and their shadow.

What is drawn is looked at on a fine grid of rows. A pocket is art from which no way leads out; the
patch that fills it lies under all that is drawn, so that it shows in the pocket and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from letterer.geometry import Box, Path, Point, polygon, union_box

CELLS_MOST = 600
"""Cells of the grid along the longer side of what is drawn."""

STRAY_CELLS = 0.25
"""Outlines are followed to within this share of a cell."""

Mask = NDArray[np.bool_]


class _Run(NamedTuple):
    """Cells of a row, from `begin` to before `end`, that nothing is drawn on."""

    row: int
    begin: int
    end: int


def pockets(shapes: Sequence[Path], reach: float, wide: float) -> Path:
    """Patches under the pockets that shapes, each grown by `reach`, shut in between them, if they
    are less than `wide` on the average; all in points. Each shape is filled nonzero."""
    around = union_box(box for shape in shapes if (box := shape.box()))
    if around is None:
        return Path()
    box = around.grown(reach)
    cell = max(box.width, box.height) / CELLS_MOST
    box = box.grown(2 * cell)
    middles = _filled(shapes, box, cell)
    filled = _grown(middles, reach / cell)
    found: list[Path] = []
    # Seen with lines a cell narrower than they are, or a hair between two of them would be missed.
    for pocket in _enclosed(_grown(middles, max(reach / cell - 1, 0.0))):
        if all(filled[run.row, run.begin : run.end].all() for run in pocket):
            continue
        size = sum(run.end - run.begin for run in pocket)
        tall = pocket[-1].row - pocket[0].row + 1
        across = max(run.end for run in pocket) - min(run.begin for run in pocket)
        if size * cell <= wide * math.hypot(tall, across):
            found += (_patch(stack, box, cell) for stack in _stacks(pocket))
    return Path(tuple(step for patch in found for step in patch.segments))


def without_counters(path: Path) -> Path:
    """A letter as if it had no counters: those are no pockets between letters."""
    turn = path.area()
    kept = (contour for contour in path.contours() if contour.area() * turn >= 0)
    return Path(tuple(step for contour in kept for step in contour.segments))


def _filled(shapes: Sequence[Path], box: Box, cell: float) -> Mask:
    """The cells whose middles lie in a shape."""
    size = (math.ceil(box.height / cell), math.ceil(box.width / cell) + 1)
    whole = np.zeros(size, dtype=bool)
    for shape in shapes:
        turns = np.zeros(size, dtype=np.int32)
        for ring in shape.flattened(STRAY_CELLS * cell):
            p = (np.array(ring) - (box.left, box.top)) / cell - 0.5
            q = np.roll(p, -1, axis=0)
            rows = np.ceil(np.stack([p[:, 1], q[:, 1]])).astype(int)
            first, count = rows.min(axis=0), np.abs(rows[1] - rows[0])
            at = np.repeat(np.arange(len(p)), count)
            row = np.arange(len(at)) - (np.cumsum(count) - count - first)[at]
            share = (row - p[at, 1]) / (q[at, 1] - p[at, 1])
            x = np.ceil(p[at, 0] + (q[at, 0] - p[at, 0]) * share).astype(int)
            np.add.at(turns, (row, x), np.sign(rows[1] - rows[0])[at])
        whole |= np.cumsum(turns, axis=1) != 0
    return whole


def _grown(mask: Mask, reach: float) -> Mask:
    """The cells within so many cells of those of a mask, a little less rather than more."""
    grown = mask.copy()
    count, width = mask.shape
    most = int(reach)
    # How many cells of a row are filled before each: more of them at one end of a stretch than at
    # the other, and there is one in it.
    sums = np.pad(np.cumsum(mask, axis=1, dtype=np.int16), ((0, 0), (most + 1, most)), "edge")
    sums[:, : most + 1] = 0
    for down in range(most + 1):
        across = int(math.sqrt(reach * reach - down * down))
        low, high = most - across, most + across + 1
        wider = sums[:, high : high + width] > sums[:, low : low + width]
        grown[down:] |= wider[: count - down]
        grown[: count - down] |= wider[down:]
    return grown


def _enclosed(filled: Mask) -> list[list[_Run]]:
    """The free places from which no way leads out, each as its runs from the top down."""
    edges = np.diff(np.pad(~filled, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, begins = np.nonzero(edges == 1)
    ends = np.nonzero(edges == -1)[1]
    runs = [_Run(*run) for run in zip(rows.tolist(), begins.tolist(), ends.tolist(), strict=True)]
    home = list(range(len(runs)))

    def root(at: int) -> int:
        while home[at] != at:
            home[at] = home[home[at]]
            at = home[at]
        return at

    for one, other in _touching(runs):
        home[root(other)] = root(one)
    places: dict[int, list[_Run]] = {}
    for at, run in enumerate(runs):
        places.setdefault(root(at), []).append(run)
    outside = root(0) if runs else -1  # the grid's rim is free all round
    return [place for at, place in places.items() if at != outside]


def _touching(runs: Sequence[_Run]) -> Iterator[tuple[int, int]]:
    """Pairs of runs, by their places in the list, that lie on one another in neighbouring rows."""
    above = 0
    for at, run in enumerate(runs):
        while runs[above].row < run.row - 1 or (
            runs[above].row == run.row - 1 and runs[above].end <= run.begin
        ):
            above += 1
        beside = above
        while runs[beside].row == run.row - 1 and runs[beside].begin < run.end:
            yield beside, at
            beside += 1


def _stacks(pocket: Sequence[_Run]) -> list[list[_Run]]:
    """A pocket as stacks of runs: each run lies on the one before it, and on no other."""
    stacks: list[list[_Run]] = []
    for run in pocket:
        under = [
            stack
            for stack in stacks
            if stack[-1].row == run.row - 1
            and stack[-1].begin < run.end
            and run.begin < stack[-1].end
        ]
        if len(under) == 1:
            under[0].append(run)
        else:
            stacks.append([run])
    return stacks


def _patch(stack: Sequence[_Run], box: Box, cell: float) -> Path:
    """A polygon around a stack of runs, a cell larger than it on every side."""
    first, last = stack[0], stack[-1]
    rows = [first._replace(row=first.row - 1), *stack, last._replace(row=last.row + 1)]
    sides = [
        [
            Point(box.left + x * cell, box.top + (run.row + 0.5) * cell)
            for run in rows
            for x in [run.begin - 1.0 if left else run.end + 1.0]
        ]
        for left in (True, False)
    ]
    return polygon([*sides[1], *reversed(sides[0])])
