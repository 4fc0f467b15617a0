"""`letterer watch`: letters again at every save."""

from __future__ import annotations

import argparse
import signal
from types import FrameType

from letterer.cli.letter import add_pages, output_of

HELP = "Letter the pages, then again at every save of script, layout, style or art."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.epilog = "Stop with Ctrl-C. Only pages that a change touches are drawn again."
    add_pages(parser)


def run(options: argparse.Namespace) -> int:
    """Watch until the person stops it, which is no failure."""
    from letterer.watching import Watched, file_events, watch

    watched = Watched(options.script, options.layout, output_of(options))
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        watch(watched, file_events(), lambda line: print(line, flush=True))
    except KeyboardInterrupt:
        print("Stopped watching; every file that was written is whole.")
    finally:
        signal.signal(signal.SIGTERM, before)
    return 0


def _stop(number: int, frame: FrameType | None) -> None:
    """Being asked to end is as good as Ctrl-C."""
    raise KeyboardInterrupt
