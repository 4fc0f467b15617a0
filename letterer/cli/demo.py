"""`letterer demo`: letters the demo story, from a copy that the person may edit and letter
again."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.errors import Fault, LettererError

HELP = "Letter the demo story into a folder; edit the copy of its script there and run it again."

STORY = "story"
FILES = ("script.txt", "layout.json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("folder", metavar="DIR", help="folder to write into")


def run(options: argparse.Namespace) -> int:
    """Copy what is not there yet, then letter the copy."""
    from letterer.api import Output, letter
    from letterer.cli.progress import progress_bar

    folder = Path(options.folder)
    story = folder / STORY
    copy_story(story)
    output = Output(folder, ("svg", "png", "preview"))
    with progress_bar("lettering the demo") as progress:
        result = letter(story / "script.txt", story / "layout.json", output, progress)
    if result.faults:
        raise LettererError(*result.faults)
    print(result.summary)
    print(f"Look at {folder / 'page-001-preview.png'} and the other pages beside it.")
    print(f"Then change a few words in {story / 'script.txt'} and run this again.")
    return 0


def copy_story(story: Path) -> None:
    """Bring the demo's script, layout and art into a folder; files that are there stay as they
    are."""
    from letterer.out.files import make_folder, write_whole
    from letterer.resources import shared_folder

    source = shared_folder() / "demo"
    found = [source / name for name in FILES] + sorted((source / "art").glob("*.png"))
    missing = [file for file in found if not file.is_file()]
    if missing:
        raise LettererError(
            Fault(
                "this copy of letterer lacks this file of its demo",
                "Install letterer again, or bring the file back into the checkout",
                str(missing[0]),
            )
        )
    make_folder(story / "art")
    for file in found:
        target = story / file.relative_to(source)
        if not target.exists():
            write_whole(target, file.read_bytes())
