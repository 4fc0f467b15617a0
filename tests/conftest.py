"""Fixtures for every test, and how hypothesis and missing references are handled.

Tests do not import one another: what several of them need is a fixture here.
"""

from __future__ import annotations

import importlib
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, settings

# No test may depend on the speed of the machine, or on the luck of one run.
settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("house")

# No test may find what another run has kept, or leave anything in the person's own folders.
os.environ["LETTERER_CACHE"] = "off"


def pytest_addoption(parser: pytest.Parser) -> None:
    """The one command that renews the expected files: pytest --update-golden."""
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write what was made over the expected files of tests/golden; look at the changes",
    )


@pytest.fixture(scope="session")
def golden(request: pytest.FixtureRequest) -> Callable[[str, bytes], None]:
    """A function: compare bytes with an expected file, by its path within tests/golden.

    What was made is written under the same path within tests/actual when it differs.
    """
    tests = Path(__file__).resolve().parent

    def compare(name: str, made: bytes) -> None:
        expected, actual = tests / "golden" / name, tests / "actual" / name
        if request.config.getoption("--update-golden"):
            expected.parent.mkdir(parents=True, exist_ok=True)
            expected.write_bytes(made)
        if expected.is_file() and expected.read_bytes() == made:
            actual.unlink(missing_ok=True)
            return
        actual.parent.mkdir(parents=True, exist_ok=True)
        actual.write_bytes(made)
        pytest.fail(
            f"tests/actual/{name} differs from tests/golden/{name}. If the new one is right,"
            " renew it with: pytest --update-golden",
            pytrace=False,
        )

    return compare


@pytest.fixture(scope="session")
def repository() -> Path:
    """The top of the checkout."""
    return Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def reference_tool() -> Callable[[str], str]:
    """A function: the path of a program by its name, such as `hb-shape`.

    When the program is missing it skips the test, or fails it where LETTERER_NEEDS_REFERENCES is
    set (the project's own checking machine sets it, so that no check is lost unseen).
    """

    def find(name: str) -> str:
        return shutil.which(name) or _absent(f"the program {name}")

    return find


@pytest.fixture(scope="session")
def reference_file() -> Callable[[str | Path], Path]:
    """A function: a published file by its path; skips or fails as `reference_tool` does."""

    def find(path: str | Path) -> Path:
        return Path(path) if Path(path).exists() else _absent(f"the file {path}")

    return find


@pytest.fixture(scope="session")
def reference_module() -> Callable[[str], ModuleType]:
    """A function: a Python module by its name; skips or fails as `reference_tool` does.

    For modules that need a system library too, and raise OSError without it.
    """

    def find(name: str) -> ModuleType:
        try:
            return importlib.import_module(name)
        except (ImportError, OSError) as error:
            return _absent(f"the module {name} ({error})")

    return find


def _absent(what: str) -> NoReturn:
    text = f"{what}, which this test is checked against, is not on this machine"
    if os.environ.get("LETTERER_NEEDS_REFERENCES"):
        pytest.fail(text, pytrace=False)
    pytest.skip(text)
