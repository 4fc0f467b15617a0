"""Work in processes: only what ends its process is lost, and nothing half-written is left."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = """
import os, sys
from pathlib import Path
from letterer.processes import Beside, LostError
from letterer.saving import clear_left, placed

folder = Path(sys.argv[1])

def work(item):
    if item == "wrong":
        raise ValueError("no such word")
    with placed(folder / item) as file:
        file.write(item.encode())
        file.flush()
        if item == "deadly":
            os._exit(9)
    return item.upper()

if __name__ == "__main__":
    beside = Beside(work, 2, lambda item, process: clear_left(folder, process))
    found = {}
    for item, came in beside.run(["one", "deadly", "two", "wrong", "three"]):
        found[item] = came if isinstance(came, str) else type(came).__name__
    print(found)
"""


@pytest.mark.skipif(os.name != "posix", reason="the worker ends itself as systems do there")
def test_only_what_ends_its_process_is_lost_and_nothing_half_written_is_left(
    tmp_path: Path, repository: Path
) -> None:
    program, folder = tmp_path / "program.py", tmp_path / "out"
    program.write_text(PROGRAM)
    folder.mkdir()
    ran = subprocess.run(
        [sys.executable, str(program), str(folder)],
        env={**os.environ, "PYTHONPATH": str(repository)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert ast.literal_eval(ran.stdout) == {
        "one": "ONE",
        "two": "TWO",
        "three": "THREE",
        "wrong": "ValueError",
        "deadly": "LostError",
    }
    assert ran.stderr == ""
    assert sorted(file.name for file in folder.iterdir()) == ["one", "three", "two"]
