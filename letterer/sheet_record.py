"""The record beside a contact sheet: what its numbers mean, and what the sheet was drawn for.

It knows the sheet by its bytes, so no number is ever taken for one of an older sheet.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer.errors import Fault, LettererError


def fingerprint(data: bytes) -> str:
    """What a file holds, in short."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True, slots=True)
class RecordKind:
    """One kind of record: the key that marks it, its version, how its file's name ends, whether its
    parts are sound (this may raise what a wrong part makes it raise), what to say where there is
    none, what its sheet is one `of`, and the sheet's `usual` name."""

    mark: str
    version: int
    ending: str
    sound: Callable[[dict[str, Any]], bool]
    none: Fault
    of: str
    usual: str

    def path(self, sheet: Path) -> Path:
        """The file beside a sheet that says what its numbers mean."""
        return sheet.with_name(sheet.name + self.ending)

    def read(self, sheet: Path) -> dict[str, Any]:
        """What the numbers of a sheet mean. Raises LettererError where there is no sheet, or
        another than the record knows."""
        path = self.path(sheet)
        what = "this file beside the sheet cannot be read"
        again = Fault(what, "Draw the sheet again", str(path))
        try:
            data, text = sheet.read_bytes(), path.read_bytes()
        except FileNotFoundError as error:
            raise LettererError(Fault(self.none.what, self.none.mend, str(sheet))) from error
        except OSError as error:
            raise LettererError(again) from error
        record = self.parsed(text)
        if record is None:
            raise LettererError(again)
        if record["sheet"] != fingerprint(data):
            what = "this is not the sheet that its numbers were written for"
            raise LettererError(Fault(what, "Draw the sheet again, then keep", str(sheet)))
        return record

    def data(self, record: Mapping[str, Any]) -> bytes:
        """A record as it is written."""
        marked = {self.mark: self.version, **record}
        return json.dumps(marked, ensure_ascii=False, indent=1).encode() + b"\n"

    def is_one(self, path: Path) -> bool:
        """Whether a file is a record that this program wrote."""
        try:
            return self.parsed(path.read_bytes()) is not None
        except OSError:
            return False

    def parsed(self, text: bytes) -> dict[str, Any] | None:
        """A record, or None where it is not one that this program wrote."""
        try:
            record = json.loads(text)
            sound = record[self.mark] == self.version and self.sound(record)
            sound = sound and all(isinstance(record[key], str) for key in ("sheet", "layout"))
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None
        return dict(record) if sound else None
