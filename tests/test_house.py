"""House rules that a newcomer can rely on: short files, few parameters, words on everything."""

from __future__ import annotations

import ast
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

MOST_LINES = 600
ONE_MODULE = "craft.py"
"""All rules of the trade stand in this one module, however many they are."""

MOST_PARAMETERS = 6
# "module.Class.function" of a function that may have more parameters, with its reason. Keep empty.
MAY_HAVE_MORE: frozenset[str] = frozenset()

TOP = {
    ".ci",
    ".gitignore",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "fonts_open",
    "letterer",
    "pyproject.toml",
    "scripts",
    "shared",
    "tests",
}
# Made by tools, and never kept: Python, its builders and checkers, editors, file managers.
MADE = {
    ".DS_Store",
    ".git",
    ".hypothesis",
    ".idea",
    ".mypy_cache",
    ".pytest_cache",
    ".ruff_cache",
    ".venv",
    ".vscode",
    "PKG-INFO",
    "__pycache__",
    "build",
    "dist",
    "letterer.egg-info",
    "out",
}
# Folders of one machine, which mean nothing on another. In pieces, so that this file passes too.
MACHINE_FOLDERS = tuple(f"/{name}/" for name in ("work", "root", "tmp", "home", "Users"))

Definition = ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef


def definitions(tree: ast.Module, within: str) -> Iterator[tuple[str, Definition]]:
    """Every class and function with its dotted name; those inside functions are left out."""
    waiting: list[tuple[str, ast.AST]] = [(within, tree)]
    while waiting:
        name, node = waiting.pop()
        for child in ast.iter_child_nodes(node):
            if isinstance(child, Definition):
                full = f"{name}.{child.name}"
                yield full, child
                if isinstance(child, ast.ClassDef):
                    waiting.append((full, child))
            elif not isinstance(child, ast.expr):
                waiting.append((name, child))


def parameters(function: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """The names of a function's parameters, without self and cls."""
    given = function.args
    stars = [star for star in (given.vararg, given.kwarg) if star is not None]
    names = [arg.arg for arg in (*given.posonlyargs, *given.args, *given.kwonlyargs, *stars)]
    return names[1:] if names[:1] in (["self"], ["cls"]) else names


def crowded(tree: ast.Module, module: str) -> list[str]:
    """One line for each function with too many parameters."""
    return [
        f"{name} has {len(parameters(node))} parameters"
        for name, node in definitions(tree, module)
        if not isinstance(node, ast.ClassDef)
        and len(parameters(node)) > MOST_PARAMETERS
        and name not in MAY_HAVE_MORE
    ]


def silent(tree: ast.Module, module: str) -> list[str]:
    """The names of public modules, classes and functions that have no docstring."""
    found = [] if ast.get_docstring(tree) else [module]
    for name, node in definitions(tree, module):
        private = any(part.startswith("_") for part in name.split(".") if part != "__main__")
        marks = {ast.unparse(mark).rpartition(".")[2] for mark in node.decorator_list}
        if not private and not marks & {"overload", "override", "setter"}:
            found += [] if ast.get_docstring(node) else [name]
    return found


def modules(repository: Path) -> dict[str, ast.Module]:
    """Every module of the package by its file, from the top of the checkout."""
    paths = sorted((repository / "letterer").rglob("*.py"))
    assert len(paths) > 5
    return {str(path.relative_to(repository)): ast.parse(path.read_text("utf-8")) for path in paths}


def ours(repository: Path) -> list[Path]:
    """Every file that we wrote: what TOP names, without what tools leave inside."""
    found = []
    for name in sorted(TOP):
        path = repository / name
        found += [path] if path.is_file() else sorted(path.rglob("*"))
    left_out = {"__pycache__", "actual", ".DS_Store"}
    return [path for path in found if path.is_file() and not left_out & {*path.parts}]


def test_files_are_short(repository: Path) -> None:
    long = [
        f"{path.relative_to(repository)} has {count} lines"
        for path in sorted((repository / "letterer").rglob("*.py"))
        if path.name != ONE_MODULE
        and (count := len(path.read_text("utf-8").splitlines())) >= MOST_LINES
    ]
    assert not long, "\n".join(long)


def test_functions_have_few_parameters(repository: Path) -> None:
    found = [line for name, tree in modules(repository).items() for line in crowded(tree, name)]
    assert not found, "\n".join(found)


def test_public_names_have_docstrings(repository: Path) -> None:
    found = [name for file, tree in modules(repository).items() for name in silent(tree, file)]
    assert not found, "without a docstring:\n" + "\n".join(found)


def test_no_file_names_a_folder_of_one_machine(repository: Path) -> None:
    found = []
    paths = ours(repository)
    assert repository / "LICENSE" in paths
    for path in paths:
        try:
            lines = path.read_text("utf-8").splitlines()
        except UnicodeDecodeError:
            continue
        found += [
            f"{path.relative_to(repository)}, line {number}: {line.strip()[:80]}"
            for number, line in enumerate(lines, 1)
            if any(folder in line for folder in MACHINE_FOLDERS)
        ]
    assert not found, "\n".join(found)


def test_the_top_holds_nothing_else(repository: Path) -> None:
    assert {path.name for path in repository.iterdir()} - TOP - MADE == set()


def test_git_ignores_none_of_our_files(repository: Path) -> None:
    if shutil.which("git") is None or not (repository / ".git").exists():
        pytest.skip("this copy is not a git checkout")
    names = "\n".join(str(path.relative_to(repository)) for path in ours(repository))
    done = subprocess.run(
        ["git", "check-ignore", "--no-index", "--stdin"],
        cwd=repository,
        input=names,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.stdout, done.stderr) == ("", "")


def test_the_rules_notice_what_they_forbid() -> None:
    tree = ast.parse(
        "class A:\n"
        "    '''Said.'''\n"
        "    def told(self, a, b, c, d, *e, **f):\n"
        "        '''Said.'''\n"
        "        def inner(a, b, c, d, e, f, g): ...\n"
        "    def untold(self, a, b, c, d, e, *, f, g): ...\n"
        "    def _private(self): ...\n"
        "if True:\n"
        "    def also(): ...\n"
    )
    assert sorted(silent(tree, "m")) == ["m", "m.A.untold", "m.also"]
    assert crowded(tree, "m") == ["m.A.untold has 7 parameters"]
