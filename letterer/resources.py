"""Where the bundled faces and the shared data are: packed in the package, or in the checkout.

An installed copy carries both folders inside the package, under `_data`; a checkout has them at its
top, beside the package.
"""

from __future__ import annotations

from pathlib import Path

from letterer.errors import Fault, LettererError

_PACKAGE = Path(__file__).resolve().parent


def fonts_folder() -> Path:
    """The folder `fonts_open`: the bundled faces and their licences.

    Raises LettererError when this copy of letterer lacks it.

    >>> fonts_folder().name
    'fonts_open'
    """
    return _find("fonts_open", _PACKAGE)


def shared_folder() -> Path:
    """The folder `shared`: the JSON Schemas, the house styles and the demo story.

    Raises LettererError when this copy of letterer lacks it.

    >>> shared_folder().name
    'shared'
    """
    return _find("shared", _PACKAGE)


def _find(name: str, package: Path) -> Path:
    packed = package / "_data" / name
    if packed.is_dir():
        return packed
    checkout = package.parent
    # Without this look an installed copy could take another project's folder for ours.
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise LettererError(
        Fault(
            f"this copy of letterer lacks its own folder {name}",
            "Install letterer again, or bring the folder back into the checkout",
        )
    )
