"""Modules import in one direction only, and `import letterer` stays quick."""

from __future__ import annotations

import ast
import importlib.util
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# Each may import those before it, and itself. The order is the design's.
ORDER = (
    "errors",
    "geometry",
    "craft",
    "resources",
    "saving",
    "processes",
    "sheet_record",
    "model",
    "text",
    "fit",
    "ink",
    "page",
    "review",
    "place",
    "revise",
    "out",
    "cache",
    "jobs",
    "reuse",
    "cluster",
    "api",
    "watching",
    "sheet_jobs",
    "trying",
    "placing",
    "room",
    "starting",
    "guide",
    "scan",
    "checking",
    "wording",
    "proofing",
    "pointing",
    "revising",
    "screen",
    "specimen",
    "converting",
    "cli",
    "__main__",
)
# What the package's own front door offers to the command line.
DOOR = "letterer"
HEAVY = ("skia", "uharfbuzz", "fontTools", "numpy", "PIL", "icu4py")


def imported(tree: ast.AST, module: str, is_package: bool) -> Iterator[tuple[int, str]]:
    """The line and dotted name of everything imported, inside functions too."""
    package = module if is_package else module.rpartition(".")[0]
    for node in ast.walk(tree):
        match node:
            case ast.Import(names=names):
                yield from ((node.lineno, alias.name) for alias in names)
            case ast.ImportFrom(names=names, level=level):
                base = package.split(".")[: len(package.split(".")) - level + 1] if level else []
                home = ".".join([*base, *([node.module] if node.module else [])])
                yield from ((node.lineno, f"{home}.{alias.name}") for alias in names)
            case ast.Call(
                func=ast.Name(id="__import__" | "import_module")
                | ast.Attribute(attr="import_module"),
                args=[ast.Constant(value=str(name)), *_],
            ):
                yield node.lineno, importlib.util.resolve_name(name, package)


def wrong_imports(source: str, module: str, is_package: bool = False) -> list[str]:
    """One line for each import of `module` that goes against the order."""
    if module == DOOR:
        return []
    stage = module.split(".")[1]
    if stage not in ORDER:
        return [f"{module}: has no place in the order; put it in one of the stages"]
    found = []
    for line, name in imported(ast.parse(source), module, is_package):
        parts = name.split(".")
        if parts[0] != "letterer":
            continue
        other = parts[1] if len(parts) > 1 and parts[1] in ORDER else DOOR
        if other == DOOR:
            wrong = stage not in ("cli", "__main__") and parts[1:] != ["__version__"]
        else:
            wrong = ORDER.index(other) > ORDER.index(stage)
        if wrong:
            found.append(f"{module}, line {line}: {stage} may not import {name}")
    return found


def test_every_module_imports_in_one_direction(repository: Path) -> None:
    found = []
    paths = sorted((repository / "letterer").rglob("*.py"))
    assert len(paths) > 5
    for path in paths:
        parts = path.relative_to(repository).with_suffix("").parts
        is_package = parts[-1] == "__init__"
        module = ".".join(parts[:-1] if is_package else parts)
        found += wrong_imports(path.read_text("utf-8"), module, is_package)
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("letterer.model.script", "import letterer.errors"),
        ("letterer.model.script", "from . import layout"),
        ("letterer.model.script", "from .. import errors"),
        ("letterer.cli.main", "from letterer import letter_page"),
        ("letterer.out.svg", "from letterer import __version__, geometry"),
        ("letterer.out.svg", "from letterer.page.compose import LetteredPage\nimport skia"),
    ],
)
def test_the_direction_allows(module: str, source: str) -> None:
    assert wrong_imports(source, module) == []


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("letterer.model.script", "import letterer.text.shape"),
        ("letterer.model.script", "from letterer.out import svg"),
        ("letterer.model.script", "from letterer import fit"),
        ("letterer.model.script", "from ..fit import search"),
        ("letterer.model.script", "from .. import page"),
        ("letterer.model.script", "from letterer import letter_page"),
        ("letterer.model.script", "def f():\n    from letterer.ink import tails"),
        ("letterer.model.script", "import importlib\nimportlib.import_module('letterer.cli')"),
        ("letterer.errors", "from letterer import geometry"),
        ("letterer.extras", ""),
    ],
)
def test_the_direction_forbids(module: str, source: str) -> None:
    assert len(wrong_imports(source, module)) == 1


@pytest.mark.parametrize("module", ["letterer", "letterer.cli.main"])
def test_importing_brings_no_heavy_package(module: str) -> None:
    look = (
        f"import sys, {module}; print(*sorted({set(HEAVY)!r} & {{*map(str, sys.modules)}}), end='')"
    )
    done = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("", "")
