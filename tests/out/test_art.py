"""What is told of art that is stretched or coarse, and art of colours that are not understood."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from letterer.errors import LettererError
from letterer.geometry import Box
from letterer.model.plan import Art
from letterer.out.art import read_art, told_of_art

ART = Art(Path("art.png"), Box(0, 0, 144, 288))


def told(width: int, height: int, printed: bool = True) -> list[str]:
    return [str(fault) for fault in told_of_art((width, height), ART, 3, printed)]


@pytest.mark.parametrize("size", [(600, 1200), (601, 1199), (2400, 4800)])
def test_nothing_is_said_of_art_that_fits(size: tuple[int, int]) -> None:
    assert told(*size) == []


def test_art_of_another_shape_is_told() -> None:
    (wide,) = told(1200, 1200)
    assert wide.startswith("art.png, page 3: this art of 1200 by 1200 pixels is stretched to the")
    assert "2.0 times as high for its width" in wide and '"covers"' in wide
    (high,) = told(600, 1500)
    assert "1.25 times as wide for its height" in high


def test_coarse_art_is_told_where_it_is_printed() -> None:
    (coarse,) = told(144, 288)
    assert "72 pixels an inch where it stands" in coarse
    assert told(144, 288, printed=False) == []


@given(st.integers(1, 5000), st.integers(1, 5000))
def test_art_turned_round_is_told_alike(width: int, height: int) -> None:
    square = Art(Path("art.png"), Box(0, 0, 100, 100))
    one, other = (
        list(told_of_art(size, square, 1, printed=True))
        for size in ((width, height), (height, width))
    )
    assert len(one) == len(other)


def test_art_in_floating_point_is_refused(tmp_path: Path) -> None:
    art = tmp_path / "art.tif"
    Image.fromarray(np.zeros((9, 9), dtype=np.float32)).save(art)
    with pytest.raises(LettererError, match=r"floating-point pixels.*Save it with 8 or 16 bits"):
        read_art(art, 1)
