"""Letters again at every save: the script, the layout, its style, the art and the faces are
watched.

    from letterer.watching import Watched, file_events, watch

    watch(Watched("script.txt", "layout.json", Output("out")), file_events(), print)

`watch` is driven by events that say no more than that something happened in a folder; whether a
file of the book changed is seen from the file itself. So an editor may save in any way it likes:
in place, by another name and a rename, or by deleting the file and making it anew.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from letterer.api import Output, Result, as_ranges, check_output, letter
from letterer.errors import Fault, LettererError, listed
from letterer.page.lettered import Severity

SAVED_MS = 100
"""Saving is over when so long nothing more has happened."""

HURRY_MS = 1000
"""After so long the pages are lettered, though there is no end of events."""

QUIET_SECONDS = 1.0
"""So long a file that is gone may be about to come back: some editors delete it first. As often the
files are looked at where nothing was told of them, as on some disks in a network."""

NAMED_MOST = 3
SHOWN_MOST = 8
"""So many new findings are told after a save; the summary of a whole run tells the others."""


@dataclass(frozen=True, slots=True)
class Watched:
    """A script, its layout, and what is made of them, as for `letterer.api.letter`."""

    script: str | Path
    layout: str | Path
    output: Output


Events = Callable[[frozenset[Path]], Iterable[bool]]
"""From folders to what happens in them, until the person has had enough: True when something may
have changed, False when it was quiet for `QUIET_SECONDS`."""

Tell = Callable[[str], object]
"""Where lines for the person go."""

State = Mapping[Path, tuple[int, int, int] | None]
"""What each file looks like from outside: when it was changed, its size, which file it is."""


def watch(watched: Watched, events: Events, tell: Tell) -> None:
    """Letter the pages, then again whenever a file that they depend on has changed, until the
    events end. Raises LettererError only where the output as a whole cannot be used.

    What is wrong with a file is told, and the pages stay as they are until it is mended.
    """
    check_output(watched.output)
    with ExitStack() as stack:
        if watched.output.cache is None:  # no page is kept beyond this, but within it they are
            folder = stack.enter_context(tempfile.TemporaryDirectory(prefix="letterer-"))
            watched = replace(watched, output=replace(watched.output, cache=folder))
        _Watching(watched, tell).run(events)


class _Watching:
    """One sitting: what was lettered last, and how the files looked from which it was."""

    def __init__(self, watched: Watched, tell: Tell) -> None:
        self.watched, self.tell = watched, tell
        self.files = files_of(watched)
        self.state = state_of(self.files)
        self.told: frozenset[str] = frozenset()

    def run(self, events: Events) -> None:
        """Letter, then again at every change, until the events end."""
        self.tell(f"Watching {_listed(self.files)}. Stop with Ctrl-C.")
        result = self.letter()
        if result is not None:
            self.tell(result.summary)
        import letterer.out.ready  # noqa: F401, so that a change finds all packages read

        while True:
            folders = folders_of(self.files)
            for happened in events(folders):
                self.look(patient=happened)
                if folders_of(self.files) != folders:
                    break
            else:
                return

    def look(self, patient: bool) -> None:
        """Letter again if a file has changed; `patient` leaves one that is gone a little time."""
        now = state_of(self.files)
        changed = [file for file in self.files if now[file] != self.state[file]]
        if not changed or (patient and any(now[file] is None for file in changed)):
            return
        told = self.told
        self.tell(f"{_listed(changed)} changed.")
        result = self.letter()
        if result is None:
            return
        self.tell(_drawn(result))
        fresh = [f"  {one}" for one in _findings(result) if one not in told]
        if len(fresh) > SHOWN_MOST:
            fresh[SHOWN_MOST:] = [f"  and {len(fresh) - SHOWN_MOST} more."]
        for line in fresh:
            self.tell(line)

    def letter(self) -> Result | None:
        """Letter by the files as they are; None where they cannot be lettered, which is told."""
        # First how the files look, then what is in them: what is saved meanwhile is seen next time.
        before = state_of(self.files)
        self.files = files_of(self.watched, self.files)
        self.state = {file: before.get(file, _look(file)) for file in self.files}
        try:
            result = letter(self.watched.script, self.watched.layout, self.watched.output)
        except LettererError as error:
            self.tell_faults(error.faults)
            return None
        self.told = frozenset(_findings(result))
        if result.faults:
            self.tell_faults(result.faults)
        return result

    def tell_faults(self, faults: Iterable[Fault]) -> None:
        """What is wrong, and what becomes of the pages."""
        for fault in faults:
            self.tell(f"letterer: {fault}")
        self.tell("What cannot be lettered stays as it was. Mend it and save: it is lettered then.")


def files_of(watched: Watched, known: Iterable[Path] = ()) -> tuple[Path, ...]:
    """What the pages depend on: script, layout, style, art; faces and their folders.

    `known` are the files from before, which stand for a layout that cannot be read just now.
    """
    from letterer.text.faces import FONT_FILES

    layout = Path(watched.layout)
    named = _named_in(layout)
    found = [Path(watched.script), layout]
    found += [layout.parent / name for name in named] if named is not None else known
    for folder in watched.output.fonts:
        found += [folder, *(one for one in sorted(folder.rglob("*")) if one.is_dir())]
        found += [one for one in sorted(folder.rglob("*")) if one.suffix.lower() in FONT_FILES]
    return tuple(dict.fromkeys(found))


def _named_in(layout: Path) -> list[str] | None:
    """The files that a layout names: its style and its art; None where it cannot be read."""
    from letterer.model.json_reader import read_json_file
    from letterer.model.style import is_style_path

    try:
        raw = read_json_file(layout).plain
    except LettererError:
        return None
    if not isinstance(raw, dict):
        return None
    style: object = raw.get("style")
    if isinstance(style, dict):
        style = style.get("name")
    found = [style] if isinstance(style, str) and is_style_path(style) else []
    pages: object = raw.get("pages")
    for page in pages if isinstance(pages, tuple) else ():
        art = page.get("art") if isinstance(page, dict) else None
        file = art.get("file") if isinstance(art, dict) else None
        found += [file] if isinstance(file, str) else []
    return [name.replace("\\", "/") for name in found if name and "\0" not in name]


def folders_of(files: Iterable[Path]) -> frozenset[Path]:
    """The folders that files stand in, where they are linked to too, as far as they are there."""
    found: set[Path] = set()
    for file in files:
        for place in (Path(os.path.abspath(file)), Path(os.path.realpath(file))):
            found.add(place if place.is_dir() else place.parent)
    return frozenset(folder for folder in found if folder.is_dir())


def state_of(files: Iterable[Path]) -> State:
    """How files look from outside; None for one that is not there."""
    return {file: _look(file) for file in files}


def _look(file: Path) -> tuple[int, int, int] | None:
    try:
        told = os.stat(file)
    except (OSError, ValueError):
        return None
    return told.st_mtime_ns, told.st_size, told.st_ino


def _listed(files: Iterable[Path]) -> str:
    """The names of a few files, and how many more there are."""
    names = [file.name for file in files]
    if len(names) > NAMED_MOST + 1:
        names[NAMED_MOST:] = [f"{len(names) - NAMED_MOST} more files"]
    return listed(names)


def _drawn(result: Result) -> str:
    """What a save came to."""
    drawn = [page.number for page in result.pages if page.number not in result.unchanged]
    if not drawn:
        return "No page is drawn otherwise."
    again = f"Drawn again: {as_ranges(drawn)}."
    return f"{again} {len(result.unchanged)} unchanged." if result.unchanged else again


def _findings(result: Result) -> list[str]:
    """Every finding of a run as a line, the worst first, each once."""
    order = [Severity.PROBLEM, Severity.WARNING, Severity.NOTE]
    every = [*result.findings, *(one for page in result.pages for one in page.findings)]
    every.sort(key=lambda one: order.index(one.severity))
    return list(dict.fromkeys(f"{one.severity.value}: {one}" for one in every))


def file_events() -> Events:
    """What happens in folders on this machine. Raises LettererError where that cannot be noticed,
    for want of the package watchfiles (the extra `letterer[watch]`)."""
    try:
        from watchfiles import watch as noticed
    except ImportError as error:
        what = "watching needs the package watchfiles, which is not installed"
        mend = 'Install it with: pip install "letterer[watch]"'
        raise LettererError(Fault(what, mend)) from error

    def events(folders: frozenset[Path]) -> Iterator[bool]:
        for changes in noticed(
            *sorted(folders),
            watch_filter=None,
            debounce=HURRY_MS,
            step=SAVED_MS,
            rust_timeout=round(1000 * QUIET_SECONDS),
            yield_on_timeout=True,
            recursive=False,
        ):
            yield bool(changes)

    return events
