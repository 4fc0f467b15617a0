"""Where a unit's middle comes to stand: at a point, in a box, in a corner or at an edge of a
panel."""

from __future__ import annotations

from letterer.geometry import Box, Path, Point, holds
from letterer.model.plan import Center, Corner, Edge, Fill, Layout, PanelPlan

STEPS_INWARD = 200
"""A unit in the corner of a slanted panel is moved toward the panel's middle in steps this fine."""


def anchored(
    spot: Center | Fill | Corner | Edge, frame: Box, panel: PanelPlan | None, layout: Layout
) -> Point:
    """The middle of a unit whose shape has the box `frame` around (0, 0).

    A unit in a corner or at an edge stands off the panel's border by the gap, and never outside the
    page's live area; in a panel with slanted sides it is moved inward until all of it is inside.
    """
    if isinstance(spot, Center):
        return spot.at
    if isinstance(spot, Fill):
        return spot.box.center
    gap = layout.style.gap_points if spot.gap is None else spot.gap
    whole = panel.box if panel else layout.format.live
    room = _common(whole.grown(-gap), layout.format.live)
    middle = _in_room(spot, frame, room)
    if panel is None or _upright(panel.shape):
        return middle
    return _moved_inside(middle, frame.grown(gap), panel)


def _in_room(spot: Corner | Edge, frame: Box, room: Box) -> Point:
    left, right = room.left - frame.left, room.right - frame.right
    top, bottom = room.top - frame.top, room.bottom - frame.bottom
    if isinstance(spot, Corner):
        vertical, side = spot.where.split()
        return Point(left if side == "left" else right, top if vertical == "top" else bottom)
    x, y = left + (right - left) * spot.along, top + (bottom - top) * spot.along
    return {
        "top": Point(x, top),
        "bottom": Point(x, bottom),
        "left": Point(left, y),
        "right": Point(right, y),
    }[spot.side]


def _common(panel: Box, live: Box) -> Box:
    """The part of a panel in the live area; the panel itself where they do not meet."""
    if not panel.meets(live):
        return panel
    return panel.common(live)


def _upright(shape: Path) -> bool:
    """True for a rectangle with level sides."""
    points = [segment.points[-1] for segment in shape.segments if segment.points]
    box = shape.box()
    return (
        box is not None
        and len(points) in (4, 5)
        and all(
            point.x in (box.left, box.right) and point.y in (box.top, box.bottom)
            for point in points
        )
    )


def _moved_inside(middle: Point, frame: Box, panel: PanelPlan) -> Point:
    """The first place on the way to the panel's middle where the whole frame is in the panel."""
    outline = panel.shape.flattened()[0]
    for step in range(STEPS_INWARD + 1):
        place = middle.toward(panel.box.center, step / STEPS_INWARD)
        box = frame.shifted(place.x, place.y)
        corners = (
            Point(box.left, box.top),
            Point(box.right, box.top),
            Point(box.right, box.bottom),
            Point(box.left, box.bottom),
        )
        if all(holds(outline, corner) for corner in corners):
            return place
    return middle
