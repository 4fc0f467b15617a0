"""What a worker needs, imported once in the server that workers are forked from."""

from __future__ import annotations

import contextlib

import letterer.out.raster
import letterer.out.svg
import letterer.page.compose  # noqa: F401

with contextlib.suppress(ImportError):  # told by whoever asks for a PNG
    import skia  # noqa: F401
