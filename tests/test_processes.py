"""Work in processes: only what ends its process is lost, and nothing half-written is left."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

WORK = """
import os, sys
from letterer.saving import placed

def work(item):
    if item == "wrong":
        raise ValueError("no such word")
    with placed(folder / item) as file:
        file.write(item.encode())
        file.flush()
        if item == "deadly":
            os._exit(9)
    return item.upper()
"""

# It has no guard: its lines are not to be run again in the workers.
PROGRAM = """
from working import folder, work
from letterer.processes import Beside
from letterer.saving import clear_left

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
    named = f"from pathlib import Path\nfolder = Path({str(folder)!r})\n"
    (tmp_path / "working.py").write_text(named + WORK)
    folder.mkdir()
    ran = subprocess.run(
        [sys.executable, str(program)],
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
