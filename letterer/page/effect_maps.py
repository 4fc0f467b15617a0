"""The maps that a sound effect's letters go through, from a straight line to where they stand.

Each way gives a function that takes a letter, a size in points and a share by which letters are
taller, and gives that letter's map: em in, points out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from letterer.fit.effect_letters import Letter, Letters
from letterer.geometry import polygon, union_box
from letterer.ink.effect import (
    bent_along,
    chained,
    climbing,
    heightened,
    scaled,
    slanted,
    to_corners,
    turned_along,
    upright_along,
)
from letterer.ink.effect_line import Arc, Line, Straight, wave_line
from letterer.ink.warp import Floats, Map, bent
from letterer.model.effect import Effect

SKETCH_TOLERANCE_EM = 1e-5
"""How true the outlines are by which letters are fitted to their corners."""


def _before(letters: Letters, effect: Effect) -> list[Map]:
    """What is done to the letters while they are still on a straight line."""
    maps: list[Map] = []
    if effect.slant:
        maps.append(slanted(effect.slant))
    if effect.heights:
        box = letters.ink
        level = {
            "feet": letters.lowest,
            "middles": (letters.lowest - letters.cap) / 2,
            "tops": -letters.cap,
        }[effect.level]
        maps.append(heightened(effect.heights, box.right, level))
    return maps


def _along(line: Line, effect: Effect, letter: Letter, scale: Callable[[float], float]) -> Map:
    """How a letter stands on a line; `scale` takes its middle to its place along the line."""
    if effect.letters == "turned":
        return turned_along(line, scale(letter.middle))
    return upright_along(line) if effect.letters == "upright" else bent_along(line)


def free_map(letters: Letters, effect: Effect) -> Callable[[Letter, float, float], Map]:
    """Letters on a line of their own making: straight, an arc or a wave."""
    width = letters.width
    line: Line = Straight(width)
    if effect.arc:
        line = Arc(width, effect.arc)
    elif effect.wave:
        line = wave_line(width, effect.wave * letters.cap, effect.crests)
    before = _before(letters, effect)
    straight = not (effect.arc or effect.wave)

    def moved(down: float) -> Map:
        return lambda points: np.asarray(points + np.array([0.0, down]))

    def through(letter: Letter, size: float, taller: float) -> Map:
        maps = [*before]
        half = taller * (letters.lowest - letters.cap) / 2
        if taller != 1.0:
            maps.append(scaled(1.0, taller))
        if not straight:
            # The line runs through the middle of the letters, so that it gives their heads no more
            # room than it takes from their feet.
            maps += [moved(-half), _along(line, effect, letter, lambda middle: middle)]
        if effect.rise:
            maps.append(climbing(effect.rise, effect.letters == "upright"))
        return chained(*maps, scaled(size, size))

    return through


def path_map(letters: Letters, effect: Effect, line: Line) -> Callable[[Letter, float, float], Map]:
    """Letters on a path of the page, in its middle."""
    before = _before(letters, effect)

    def through(letter: Letter, size: float, taller: float) -> Map:
        begin = (line.length - letters.width * size) / 2

        def along(middle: float) -> float:
            return begin + middle * size

        def placed(points: Floats) -> Floats:
            return np.asarray(points * size + np.array([begin, 0.0]))

        return chained(*before, placed, _along(line, effect, letter, along))

    return through


def corners_map(
    letters: Letters, effect: Effect
) -> tuple[Callable[[Letter, float, float], Map], float]:
    """Letters drawn to four corners of the page; and the size they have on the whole."""
    free = free_map(letters, replace(effect, corners=()))
    made = (bent(one.path, free(one, 1.0, 1.0), SKETCH_TOLERANCE_EM) for one in letters.letters)
    box = union_box(box for path in made if (box := path.box()))
    assert box is not None
    last = to_corners(box, effect.corners)
    size = math.sqrt(abs(polygon(effect.corners).area()) / box.area)

    def through(letter: Letter, _: float, taller: float) -> Map:
        return chained(free(letter, 1.0, taller), last)

    return through, size
