"""The command `letterer`: reads the arguments, runs one command, tells errors in plain lines."""

from __future__ import annotations

import argparse
import contextlib
import importlib
import io
import keyword
import os
import sys
from collections.abc import Sequence
from types import ModuleType

from letterer import __version__
from letterer.errors import LettererError, nearest

COMMANDS = (
    "start",
    "point",
    "letter",
    "watch",
    "check",
    "proof",
    "words",
    "revise",
    "try",
    "place",
    "room",
    "guide",
    "scan",
    "screen",
    "specimen",
    "script",
    "demo",
    "schema",
)
STOPPED_BY_PERSON = 130

ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "PYDANTIC_DISABLE_PLUGINS": "__all__"}
"""What makes a start quicker, unless the person's environment says otherwise. numpy's algebra
begins threads (40 ms) that ours is too small for, since pages go side by side in processes;
pydantic looks through all installed packages for plugins (10 ms), and we use none."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; gives the exit status: 0 done, 1 an error told, 2 wrong usage."""
    for name, value in ENVIRONMENT.items():
        os.environ.setdefault(name, value)
    # A character that the terminal cannot show is shown as its code, and stops nothing.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        status = _run(arguments)
        if sys.stdout is not None:
            sys.stdout.flush()
        return status
    except LettererError as error:
        for fault in error.faults:
            _tell(str(fault))
        return 1
    except KeyboardInterrupt:
        _tell("stopped; every file that was written is whole.")
        return STOPPED_BY_PERSON
    except BrokenPipeError:
        _forget_stdout()
        return 1
    except MemoryError:
        _tell("there is not enough memory. Choose a smaller dpi, or letter fewer --pages at once.")
        return 1
    except OSError as error:
        _tell(_refusal(error))
        _forget_stdout()
        return 1


def _run(arguments: Sequence[str] | None) -> int:
    given = sys.argv[1:] if arguments is None else arguments
    # The files of the other commands need not be read to do this one.
    parser = _parser(COMMANDS if not given or given[0] not in COMMANDS else given[:1])
    if not given:
        parser.print_help(sys.stderr)
        return 2
    try:
        options, unknown = parser.parse_known_args(given)
    except SystemExit as ended:  # help was shown, or wrong usage was told
        return int(ended.code or 0)
    if unknown:
        _tell(_not_understood(options.command, unknown))
        return 2
    command = _module(options.command)
    return int(command.run(options))


def _not_understood(command: str, unknown: Sequence[str]) -> str:
    """What to say of arguments that a command does not have, with the nearest that it has."""
    own = argparse.ArgumentParser(add_help=False)
    _module(command).add_arguments(own)
    options = [name for name in own._option_string_actions if name.startswith("--")]
    first = unknown[0].partition("=")[0]
    near = nearest(first, options)
    if not first.startswith("-"):
        what = f'"{first}" is one name more than letterer {command} takes'
    else:
        what = f"letterer {command} has no option {first}"
    mend = f"Did you mean {near}?" if near else f"letterer {command} --help shows what it takes."
    return f"{what}. {mend}"


def _module(name: str) -> ModuleType:
    """The module of a command; a name that Python keeps for itself has an underscore behind it."""
    file = f"{name}_" if keyword.iskeyword(name) else name
    return importlib.import_module(f"letterer.cli.{file}")


def _tell(words: str) -> None:
    print(f"letterer: {words}", file=sys.stderr)


def _refusal(error: OSError) -> str:
    """What the system would not do, and to which file; without a name it is what we print."""
    why = error.strerror or str(error)
    if error.filename is None:
        return f"what was to be shown here cannot be written ({why}); the work itself is done."
    return f"{error.filename}: this cannot be used ({why})."


def _forget_stdout() -> None:
    """Let nothing more be written to a stdout that takes nothing (Python's own advice, in its
    documentation of SIGPIPE)."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _parser(names: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The parser of some commands."""
    parser = argparse.ArgumentParser(
        prog="letterer",
        description="Letters a comic from a plain-text script and a layout.",
    )
    parser.add_argument("--version", action="version", version=f"letterer {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name in names:
        module = _module(name)
        added = commands.add_parser(name, help=module.HELP, description=module.HELP)
        module.add_arguments(added)
    return parser


if __name__ == "__main__":
    sys.exit(main())
