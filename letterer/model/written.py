"""What all objects of the written files share: strict frozen models, and the numbers in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from letterer.geometry import Point
from letterer.model.ring import ring_fault

NUMBER_MOST = 1e6
"""No coordinate of a page is farther out, in whatever unit: a bigger number is a slip."""

LENGTH_LEAST = 0.001
"""A width or height below this, in whatever unit, is a slip for a real size."""

RING_POINTS_MOST = 2000
"""A panel or zone drawn with more corners was traced by a machine: simplify it first."""

NOTE = "Free words of your own. They are kept and never lettered."

SCHEMA = "The JSON Schema of this file, for editors."


class Written(BaseModel):
    """One pair of { } in a file: only known keys, no guessing of types, never changed."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        strict=True,
        allow_inf_nan=False,
        validate_by_name=False,
        validate_by_alias=True,
    )

    note: str | None = Field(default=None, description=NOTE)


def plain_error(what: str) -> PydanticCustomError:
    """A fault in our own words; `what` goes on after the name of the value ("must be ...")."""
    return PydanticCustomError("plain", "{what}", {"what": what})


def _sound_ring(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    fault = ring_fault([Point(x, y) for x, y in points])
    if fault:
        raise plain_error(fault)
    return points


def _version_one(value: object) -> object:
    if isinstance(value, bool) or value != 1 or not isinstance(value, int):
        raise plain_error("must be the number 1, the version of the file format")
    return value


VersionOne = Annotated[Literal[1], BeforeValidator(_version_one)]
Number = Annotated[float, Field(ge=-NUMBER_MOST, le=NUMBER_MOST)]
Length = Annotated[float, Field(ge=LENGTH_LEAST, le=NUMBER_MOST)]
Distance = Annotated[float, Field(ge=0, le=NUMBER_MOST)]
Count = Annotated[int, Field(ge=1, le=100_000)]
Name = Annotated[str, Field(min_length=1)]

XY = Annotated[tuple[Number, Number], Field(description="A point, [x, y].")]
LTWH = Annotated[
    tuple[Number, Number, Length, Length],
    Field(description="An upright box, [left, top, width, height]."),
]
Ring = Annotated[
    tuple[XY, ...],
    Field(
        min_length=3,
        max_length=RING_POINTS_MOST,
        description="Corners in order, [[x, y], [x, y], [x, y], ...]; the last joins the first.",
    ),
    AfterValidator(_sound_ring),
]
