"""The command `letterer`: reads the arguments, runs one command, tells errors in plain lines."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence

from letterer import __version__
from letterer.errors import LettererError

COMMANDS = ("letter", "demo", "schema")
STOPPED_BY_PERSON = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; gives the exit status: 0 done, 1 an error told, 2 wrong usage."""
    parser = _parser()
    options = parser.parse_args(arguments)
    try:
        command = importlib.import_module(f"letterer.cli.{options.command}")
        return int(command.run(options))
    except LettererError as error:
        for fault in error.faults:
            print(f"letterer: {fault}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("letterer: stopped; files already written are whole.", file=sys.stderr)
        return STOPPED_BY_PERSON
    except BrokenPipeError:
        sys.stderr.close()
        return 1
    except MemoryError:
        print("letterer: there is not enough memory. Choose a smaller dpi.", file=sys.stderr)
        return 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="letterer",
        description="Letters a comic from a plain-text script and a layout.",
    )
    parser.add_argument("--version", action="version", version=f"letterer {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name in COMMANDS:
        module = importlib.import_module(f"letterer.cli.{name}")
        added = commands.add_parser(name, help=module.HELP, description=module.HELP)
        module.add_arguments(added)
    return parser


if __name__ == "__main__":
    sys.exit(main())
