"""Things in the story: wheels and shafts, the lamp, the lighthouse, rain, waves, lanterns, wood."""

from __future__ import annotations

import math

from drawing.ink import BLACK, PAPER, Frame, Ink, Point, Points, box, curve, oval


def wheel(
    ink: Ink,
    f: Frame,
    teeth: int,
    tone: float = 170,
    spokes: int = 5,
    squash: float = 1.0,
    start: float = 0.0,
) -> None:
    """A toothed wheel of radius one, with thickness; `squash` under 1 sees it from the side."""
    w = 0.9 + 0.45 * f.size
    depth = 0.07 + 0.1 * (1 - squash)

    def ring(radius: float, shift: float = 0.0) -> list[Point]:
        return f([(x * squash + shift, y) for x, y in oval(0, 0, radius, radius, count=64)])

    def toothed(shift: float) -> list[Point]:
        points = []
        for k in range(teeth):
            for part, radius in ((0.0, 0.9), (0.32, 0.9), (0.42, 1.02), (0.86, 1.02), (0.98, 0.9)):
                a = math.radians(start) + 2 * math.pi * (k + part) / teeth
                points.append((radius * math.cos(a) * squash + shift, radius * math.sin(a)))
        return f(points)

    behind = toothed(depth)
    ink.fill(behind, tone * 0.3)
    ink.outline(behind, w)
    front = toothed(0.0)
    ink.fill(front, tone)
    ink.outline(front, w)
    ink.shade(front, (-0.13 * f.size, -0.18 * f.size), 0.28)
    inner = ring(0.74)
    ink.outline(ring(0.8), w * 0.55)
    # The open spaces between the spokes.
    gap = 2 * math.pi / spokes
    for k in range(spokes):
        a0 = math.radians(start) + gap * k + 0.16
        a1 = a0 + gap - 0.32
        arc: list[Point] = []
        for j in range(13):
            a = a0 + (a1 - a0) * j / 12
            arc.append((0.72 * math.cos(a) * squash, 0.72 * math.sin(a)))
        for j in range(9):
            a = a1 - 0.1 - (a1 - a0 - 0.2) * j / 8
            arc.append((0.3 * math.cos(a) * squash, 0.3 * math.sin(a)))
        hole = f(arc)
        ink.fill(hole, 28)
        ink.outline(hole, w * 0.9)
    ink.outline(inner, w * 0.3)
    hub = ring(0.24)
    ink.fill(hub, min(255, tone + 30))
    ink.outline(hub, w)
    ink.shade(hub, (-0.04 * f.size, -0.05 * f.size), 0.4)
    pin = ring(0.1)
    ink.fill(pin, 60)
    ink.outline(pin, w * 0.8)
    ink.line(f([(-0.55 * squash, -0.62), (-0.25 * squash, -0.8), (0.0, -0.835)]), w * 1.3, PAPER)


def far_wheel(
    ink: Ink, f: Frame, teeth: int, tone: float, ground: float, start: float = 0.0
) -> None:
    """A wheel in the dark behind: one flat tone, its openings the tone of the ground."""
    points = []
    for k in range(teeth):
        for part, radius in ((0.0, 0.88), (0.36, 0.88), (0.48, 1.0), (0.88, 1.0)):
            a = math.radians(start) + 2 * math.pi * (k + part) / teeth
            points.append((radius * math.cos(a), radius * math.sin(a)))
    ink.fill(f(points), tone)
    for k in range(4):
        a = math.radians(start) + math.pi / 2 * k + 0.78
        ink.fill(f(oval(0.48 * math.cos(a), 0.48 * math.sin(a), 0.2, 0.2)), ground)
    ink.fill(f(oval(0, 0, 0.14, 0.14)), ground)


def shaft(ink: Ink, a: Point, b: Point, width: float, tone: float = 190) -> None:
    """A round bar between two points, with a bright streak and a dark side."""
    edge = ink.limb([a, b], [width, width], tone, 1.2)
    ink.shade(edge, (-width * 0.35, -width * 0.35), 0.45)
    dx, dy = (b[0] - a[0]), (b[1] - a[1])
    length = math.hypot(dx, dy)
    nx, ny = -dy / length * width * 0.18, dx / length * width * 0.18
    if ny > 0 or (ny == 0 and nx > 0):
        nx, ny = -nx, -ny
    ink.line([(a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny)], 1.4, PAPER, (0.2, 0.2))


def bolt(ink: Ink, x: float, y: float, radius: float, tone: float = 150) -> None:
    """A round bolt head with its slot."""
    edge = oval(x, y, radius, radius, count=24)
    ink.fill(edge, tone)
    ink.outline(edge, 0.9)
    ink.shade(edge, (-radius * 0.3, -radius * 0.3), 0.4)
    ink.line([(x - radius * 0.6, y - radius * 0.3), (x + radius * 0.6, y + radius * 0.3)], 0.9)


def rain(
    ink: Ink,
    area: Points,
    count: int,
    tone: float = PAPER,
    slant: float = 0.35,
    length: float = 0.4,
) -> None:
    """Slanting rain over an area, of uneven length and weight."""
    xs, ys = [p[0] for p in area], [p[1] for p in area]
    r = ink.random
    with ink.inside(area):
        for _ in range(count):
            x = r.uniform(min(xs) - 0.2, max(xs) + 0.4)
            y = r.uniform(min(ys) - 0.3, max(ys))
            n = length * r.uniform(0.5, 1.3)
            ink.line([(x, y), (x - slant * n, y + n)], r.uniform(0.5, 1.0), tone, (0.7, 0.2))


def night(ink: Ink, area: Points, top: float = 38, low: float = 120) -> None:
    """A night sky: a wash growing lighter downward."""
    ys = [p[1] for p in area]
    ink.fade(area, (top, low), ((0, min(ys)), (0, max(ys))))


def cloud(ink: Ink, points: Points, tone: float, edge: float = 0) -> None:
    """A bank of storm cloud, lighter or darker than the sky, with a brushed rim."""
    shape = curve(points, closed=True)
    ink.fill(shape, tone)
    if edge:
        ink.outline(shape, 0.9, edge)


def wave(ink: Ink, y: float, left: float, right: float, height: float, tone: float) -> None:
    """One row of storm waves, peaked and curling, dark with a bright crest."""
    r = ink.random
    crest: list[Point] = [(left - 0.3, y), (left - 0.3, y)]
    x = left - 0.2
    while x < right + 0.3:
        n = r.uniform(0.45, 0.85)
        h = height * r.uniform(0.6, 1.15)
        crest += [(x + n * 0.35, y - h * 0.45), (x + n * 0.62, y - h), (x + n * 0.62, y - h)]
        crest += [(x + n * 0.72, y - h * 0.45), (x + n, y - h * 0.05)]
        x += n
    crest.append((right + 0.4, y))
    top = curve(crest)
    ink.fill([*top, (right + 0.5, y + 2.0), (left - 0.5, y + 2.0)], tone)
    ink.line(crest, 2.6, PAPER, (0, 0))
    lower = [(px + 0.03, py + 0.07 + 0.02 * math.sin(9 * px)) for px, py in crest]
    ink.line(lower, 0.9, 200, (0.1, 0.1))
    for px, py in crest[3::5]:
        for k in range(4):
            x0, y0 = px - 0.04 + 0.07 * k, py + 0.1 + 0.05 * k
            drop = [(x0, y0), (x0 - 0.05, y0 + 0.45 * height), (x0 - 0.16, y0 + 0.8 * height)]
            ink.line(drop, 1.2, 200 if tone < 60 else 225, (0.2, 0.7))


def lantern(ink: Ink, f: Frame, lit: bool = True) -> None:
    """A storm lantern: the origin is its handle, it hangs two units down."""
    w = 0.9 + 0.8 * f.size
    ink.line(
        f([(-0.42, 0.62), (-0.4, 0.1), (0.0, -0.04), (0.4, 0.1), (0.42, 0.62)]), w, taper=(0, 0)
    )
    ink.shape(
        f([(-0.3, 0.62), (-0.3, 0.62), (-0.16, 0.36), (0.16, 0.36), (0.3, 0.62), (0.3, 0.62)]),
        70,
        w,
    )
    glass = ink.shape(
        f([(-0.26, 0.64), (0.26, 0.64), (0.42, 1.1), (0.28, 1.56), (-0.28, 1.56), (-0.42, 1.1)]),
        PAPER if lit else 150,
        w,
    )
    if lit:
        with ink.inside(glass):
            ink.fill(f(oval(0, 1.16, 0.3, 0.38)), 232)
        flame = f([(0.0, 0.82), (0.0, 0.82), (0.15, 1.16), (0.0, 1.42), (-0.15, 1.16)])
        ink.fill(curve(flame, closed=True), PAPER)
        ink.outline(curve(flame, closed=True), w * 0.7)
    for x in (-0.38, 0.38):
        ink.line(f([(x * 0.75, 0.6), (x * 1.15, 1.1), (x * 0.78, 1.58)]), w * 1.1, taper=(0, 0))
    base = ink.shape(
        f(
            [
                (-0.34, 1.54),
                (-0.34, 1.54),
                (0.34, 1.54),
                (0.34, 1.54),
                (0.42, 1.96),
                (0.42, 1.96),
                (-0.42, 1.96),
                (-0.42, 1.96),
            ]
        ),
        70,
        w,
    )
    ink.line(f([(-0.28, 1.66), (-0.3, 1.86)]), w, PAPER)
    ink.shade(base, (-0.1 * f.size, 0), 0.5)


def glow(ink: Ink, at: Point, radius: float, steps: int = 5, strength: float = 0.16) -> None:
    """Light round a lamp: rings of wash, each a little larger and fainter, cut by hand."""
    r = ink.random
    for k in range(steps, 0, -1):
        n = radius * k / steps
        points = []
        phase = r.uniform(0, 6)
        for j in range(20):
            a = 2 * math.pi * j / 20
            m = n * (1 + 0.025 * math.sin(3 * a + phase) + 0.012 * math.sin(7 * a))
            points.append((at[0] + m * math.cos(a), at[1] + m * math.sin(a)))
        ink.fill(curve(points, closed=True), PAPER, strength)


def lens(ink: Ink, f: Frame, lit: bool = True) -> None:
    """The great lamp: a beehive of glass rings. The origin is its middle, half height 1.2."""
    w = 0.8 + 0.6 * f.size
    outline = [
        (-0.42, -1.2),
        (-0.42, -1.2),
        (-0.74, -0.7),
        (-0.86, 0.0),
        (-0.74, 0.7),
        (-0.42, 1.2),
    ]
    outline += [(-0.42, 1.2), (0.42, 1.2), (0.42, 1.2), (0.74, 0.7), (0.86, 0.0), (0.74, -0.7)]
    outline += [(0.42, -1.2), (0.42, -1.2)]
    edge = ink.shape(f(outline), 250 if lit else 205, w)
    with ink.inside(edge):
        for k in range(4):
            y = 0.46 + 0.2 * k
            for s in (-1.0, 1.0):
                band = [(-1.0, s * y), (0.0, s * (y + 0.05)), (1.0, s * y)]
                low = [(1.0, s * (y + 0.07)), (0.0, s * (y + 0.12)), (-1.0, s * (y + 0.07))]
                ink.fill(f([*band, *low]), 215 if lit else 150)
                ink.line(f(band), w * 0.7, taper=(0, 0))
        for radius in (0.42, 0.32, 0.22, 0.12):
            ring = f(oval(0.0, 0.0, radius * 1.1, radius))
            ink.fill(ring, PAPER if lit or radius in (0.32, 0.12) else 190)
            ink.outline(ring, w * 0.7)
        for x in (-0.56, 0.56):
            ink.line(f([(x * 0.7, -1.2), (x * 1.05, 0.0), (x * 0.7, 1.2)]), w * 1.6, taper=(0, 0))
    if not lit:
        ink.shade(edge, (-0.3 * f.size, -0.1 * f.size), 0.3)
    ink.outline(edge, w * 1.2)
    for y, tone in ((-1.26, 90), (1.26, 90)):
        collar = f(box(-0.5, y - 0.09, 1.0, 0.18))
        ink.fill(collar, tone)
        ink.outline(collar, w)
    crown = ink.shape(
        f([(-0.4, -1.35), (-0.4, -1.35), (0.0, -1.62), (0.4, -1.35), (0.4, -1.35)]), 60, w
    )
    ink.shade(crown, (-0.06, 0), 0.5)


def planks(ink: Ink, area: Points, lines: int, tone: float, vanish: Point) -> None:
    """A boarded floor, its joints running to a vanishing point."""
    ink.fill(area, tone)
    xs, ys = [p[0] for p in area], [p[1] for p in area]
    left, right, low = min(xs), max(xs), max(ys)
    span = (right - left) * 1.6
    with ink.inside(area):
        for k in range(lines + 1):
            x = left - (right - left) * 0.3 + span * k / lines
            ink.line([(x, low + 0.05), vanish], 1.2, taper=(0.0, 0.5))
        r = ink.random
        for _ in range(lines * 2):
            t = r.uniform(0.02, 0.5)
            x = r.uniform(left, right)
            a = (x + (vanish[0] - x) * t, low + (vanish[1] - low) * t)
            b = (x + (vanish[0] - x) * (t + 0.06), low + (vanish[1] - low) * (t + 0.06))
            ink.line([a, b], 0.7)


def bricks(ink: Ink, area: Points, course: float, tone: float, every: float = 0.55) -> None:
    """A stone wall: here and there a few stones are drawn, the rest is left quiet."""
    ink.fill(area, tone)
    xs, ys = [p[0] for p in area], [p[1] for p in area]
    r = ink.random
    with ink.inside(area):
        row = 0
        y = min(ys)
        while y < max(ys):
            x = min(xs) - (course if row % 2 else 0.0)
            while x < max(xs):
                n = course * 2.1
                if r.random() < every:
                    g = 0.012
                    stone = [
                        (x + g, y + g),
                        (x + n - g, y + g + r.uniform(-g, g)),
                        (x + n - g, y + course - g),
                        (x + g + r.uniform(-g, g), y + course - g),
                    ]
                    if r.random() < 0.5:
                        ink.fill(stone, tone - r.uniform(8, 30))
                    ink.line([stone[0], stone[1]], 0.5, taper=(0.3, 0.3))
                    ink.line([stone[1], stone[2], stone[3]], 0.9, taper=(0.2, 0.3))
                x += n
            y += course
            row += 1


def window(ink: Ink, area: Points, panes: tuple[int, int] = (2, 3), drops: int = 60) -> None:
    """A lamp room window at night: rain beyond, glazing bars in front."""
    night(ink, area, 30, 105)
    rain(ink, area, drops, 215)
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = area
    for k in range(1, panes[0]):
        t = k / panes[0]
        ink.ruled(
            [(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t), (x3 + (x2 - x3) * t, y3 + (y2 - y3) * t)],
            3.6,
            closed=False,
        )
    for k in range(1, panes[1]):
        t = k / panes[1]
        ink.ruled(
            [(x0 + (x3 - x0) * t, y0 + (y3 - y0) * t), (x1 + (x2 - x1) * t, y1 + (y2 - y1) * t)],
            3.6,
            closed=False,
        )
    ink.ruled(area, 5.5)


def rays(ink: Ink, at: Point, inner: float, outer: float, count: int, tone: float) -> None:
    """Wedges bursting from a point, thick at the far end."""
    r = ink.random
    for k in range(count):
        a = 2 * math.pi * (k + r.uniform(-0.3, 0.3)) / count
        spread = r.uniform(0.008, 0.03)
        near = inner * r.uniform(0.85, 1.3)
        ink.fill(
            [
                (at[0] + near * math.cos(a), at[1] + near * math.sin(a)),
                (at[0] + outer * math.cos(a - spread), at[1] + outer * math.sin(a - spread)),
                (at[0] + outer * math.cos(a + spread), at[1] + outer * math.sin(a + spread)),
            ],
            tone,
        )


def border(ink: Ink, panel: Points, weight: float = 1.75) -> None:
    """The inked border of a panel."""
    ink.ruled(panel, weight, BLACK)
