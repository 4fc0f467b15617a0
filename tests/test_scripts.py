"""The two commands of the README on machines that lack one thing or another, and the wheel.

The scripts run here on an imitation of a machine: a folder of small stand-ins for Python, the
system's package program and so on, which write down what they were asked for in a journal. Nothing
is installed and no network is used.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

# What the scripts may take for granted on any machine, with mkdir, cp and touch for the stand-ins.
COMMANDS = (
    *("bash", "cat", "cksum", "dirname", "env", "mktemp", "readlink", "rm", "tail", "tr"),
    *("cp", "mkdir", "touch"),
)

PYTHON = """\
#!/usr/bin/env bash
here=$(dirname -- "$0")
case "$1 ${2:-} ${3:-}" in
    --version*) echo "Python 3.11.7" ;;
    -c*CDLL*) [ ! -e "$BOX/lacks-libraries" ] || echo libEGL.so.1 ;;
    -c*ensurepip*) [ ! -e "$BOX/lacks-venv" ] ;;
    -c*python%d*) echo python3.11-venv ;;
    -c*) [ ! -e "$BOX/old-python" ] ;;
    "-m venv"*)
        echo "venv" >>"$BOX/journal"
        folder=${!#}
        [ "$3" != --clear ] || rm -rf "$folder"
        mkdir -p "$folder/bin"
        cp "$0" "$folder/bin/python"
        touch "$folder/pyvenv.cfg"
        ;;
    "-m pip install")
        echo "pip ${!#}" >>"$BOX/journal"
        [ ! -e "$BOX/no-internet" ] || { echo "no route to anywhere" >&2; exit 1; }
        cp "$BOX/letterer" "$here/letterer"
        ;;
    "-m pytest"*) echo "$*, references ${LETTERER_NEEDS_REFERENCES:-may be missing}" ;;
    *) exit 99 ;;
esac
"""
LETTERER = """\
#!/usr/bin/env bash
echo "letterer $* in $PWD" >>"$BOX/journal"
"""
APT = """\
#!/usr/bin/env bash
echo "apt-get ${*:3}" >>"$BOX/journal"
case "$*" in
    *update*) rm -f "$BOX/stale-lists" ;;
    *) [ ! -e "$BOX/stale-lists" ] && rm -f "$BOX/lacks-libraries" "$BOX/lacks-venv" ;;
esac
"""


@dataclass(frozen=True)
class Machine:
    """An imitated machine: its folder, and the copy of the checkout's scripts on it."""

    box: Path
    checkout: Path

    def put(self, name: str, text: str) -> None:
        """Make a program."""
        path = self.box / "bin" / name
        path.write_text(text)
        path.chmod(0o755)

    def lack(self, name: str) -> None:
        """Take something away: one of the names that the stand-ins look for."""
        (self.box / name).touch()

    def run(self, script: Path | str, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
        """Run a script from a folder of no importance."""
        return subprocess.run(
            [str(script), *words],
            cwd=self.box,
            env={
                "PATH": str(self.box / "bin"),
                "BOX": str(self.box),
                "HOME": str(self.box),
                **more,
            },
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )

    def demo(self) -> subprocess.CompletedProcess[str]:
        """Run scripts/demo."""
        return self.run(self.checkout / "scripts" / "demo")

    def journal(self) -> list[str]:
        """What the stand-ins were asked for since the last look."""
        path = self.box / "journal"
        lines = path.read_text().splitlines() if path.exists() else []
        path.unlink(missing_ok=True)
        return lines


@pytest.fixture
def machine(tmp_path: Path, repository: Path) -> Machine:
    """A person's Linux machine with Python and nothing wrong, in a folder with a space."""
    made = Machine(tmp_path, tmp_path / "my comics" / "letterer")
    (tmp_path / "bin").mkdir()
    for name in COMMANDS:
        found = shutil.which(name)
        assert found is not None, name
        (tmp_path / "bin" / name).symlink_to(found)
    made.put("python3", PYTHON)
    made.put("uname", "#!/usr/bin/env bash\necho Linux\n")
    made.put("id", "#!/usr/bin/env bash\necho 1000\n")
    (tmp_path / "letterer").write_text(LETTERER)
    (tmp_path / "letterer").chmod(0o755)
    for folder in ("scripts", ".ci"):
        shutil.copytree(repository / folder, made.checkout / folder)
    shutil.copy(repository / "pyproject.toml", made.checkout)
    return made


def as_root(machine: Machine) -> None:
    """Make the person root on a machine of the Debian kind."""
    machine.put("id", "#!/usr/bin/env bash\necho 0\n")
    machine.put("apt-get", APT)


def test_the_first_time_sets_up_and_the_second_is_quiet(machine: Machine) -> None:
    first = machine.demo()
    assert (first.returncode, first.stderr) == (0, "")
    demo = f"letterer demo out in {machine.checkout}"
    assert machine.journal() == ["venv", "pip .", demo]
    assert machine.demo().stdout == f"The lettered pages are in {machine.checkout}/out\n"
    assert machine.journal() == [demo]


def test_a_changed_project_file_installs_again(machine: Machine) -> None:
    machine.demo()
    machine.journal()
    with (machine.checkout / "pyproject.toml").open("a") as file:
        file.write("# changed\n")
    assert machine.demo().returncode == 0
    assert machine.journal()[0] == "pip ."


def test_a_moved_checkout_installs_again(machine: Machine) -> None:
    machine.demo()
    machine.journal()
    moved = machine.checkout.rename(machine.box / "elsewhere")
    assert machine.run(moved / "scripts" / "demo").returncode == 0
    assert machine.journal() == ["pip .", f"letterer demo out in {moved}"]


def test_a_broken_environment_is_made_again(machine: Machine) -> None:
    machine.demo()
    machine.journal()
    (machine.checkout / ".venv" / "bin" / "python").unlink()
    assert machine.demo().returncode == 0
    assert machine.journal()[:2] == ["venv", "pip ."]


def test_a_folder_that_is_no_environment_is_left_alone(machine: Machine) -> None:
    (machine.checkout / ".venv").mkdir()
    (machine.checkout / ".venv" / "diary").write_text("mine")
    done = machine.demo()
    assert done.returncode == 1
    assert "is in the way" in done.stderr
    assert (machine.checkout / ".venv" / "diary").read_text() == "mine"
    assert machine.journal() == []


def test_a_failed_installation_is_told_and_tried_again(machine: Machine) -> None:
    machine.lack("no-internet")
    done = machine.demo()
    assert done.returncode == 1
    assert done.stderr.splitlines()[0] == "no route to anywhere"
    assert "needs the internet" in done.stderr
    (machine.box / "no-internet").unlink()
    assert machine.demo().returncode == 0


def test_it_runs_through_symbolic_links(machine: Machine) -> None:
    target = machine.checkout / "scripts" / "demo"
    (machine.box / "bin" / "inner").symlink_to(os.path.relpath(target, machine.box / "bin"))
    (machine.box / "letter my demo").symlink_to("bin/inner")
    assert machine.run(machine.box / "letter my demo").returncode == 0
    assert machine.journal()[-1] == f"letterer demo out in {machine.checkout}"


@pytest.mark.parametrize("python", ["none", "old"])
def test_without_a_python_that_will_do(machine: Machine, python: str) -> None:
    if python == "none":
        (machine.box / "bin" / "python3").unlink()
    else:
        machine.lack("old-python")
    done = machine.demo()
    assert (done.returncode, machine.journal()) == (1, [])
    assert done.stderr.startswith("letterer needs Python 3.11 or newer, and none was found.")
    for system in ("Debian", "Fedora", "macOS"):
        assert system in done.stderr


def test_another_name_of_python_will_do(machine: Machine) -> None:
    (machine.box / "bin" / "python3").rename(machine.box / "bin" / "python3.12")
    machine.put("python3", "#!/usr/bin/env bash\nexit 1\n")
    assert machine.demo().returncode == 0


def test_root_gets_the_missing_part_of_python(machine: Machine) -> None:
    as_root(machine)
    machine.lack("lacks-venv")
    assert machine.demo().returncode == 0
    first = machine.journal()[0]
    assert first == "apt-get install -y --no-upgrade --no-install-recommends python3.11-venv"


def test_anyone_else_is_told_of_the_missing_part_of_python(machine: Machine) -> None:
    machine.put("apt-get", APT)
    machine.lack("lacks-venv")
    done = machine.demo()
    assert (done.returncode, machine.journal()) == (1, [])
    assert done.stderr.endswith("Run: sudo apt-get install python3.11-venv\n")


def test_root_gets_the_drawing_libraries(machine: Machine) -> None:
    as_root(machine)
    machine.lack("lacks-libraries")
    assert machine.demo().returncode == 0
    install = "apt-get install -y --no-upgrade --no-install-recommends libegl1 libgl1 libexpat1"
    assert machine.journal()[1:2] == [install]


def test_package_lists_are_renewed_only_when_needed(machine: Machine) -> None:
    as_root(machine)
    machine.lack("lacks-libraries")
    machine.lack("stale-lists")
    assert machine.demo().returncode == 0
    install = "apt-get install -y --no-upgrade --no-install-recommends libegl1 libgl1 libexpat1"
    assert machine.journal()[1:4] == [install, "apt-get update", install]


@pytest.mark.parametrize(
    ("program", "line"),
    [
        ("apt-get", "Run: sudo apt-get install libegl1 libgl1 libexpat1"),
        ("dnf", "Run: sudo dnf install libglvnd-egl libglvnd-glx expat"),
        ("pacman", "Run: sudo pacman -S libglvnd expat"),
        ("nothing", "Install the packages that bring them."),
    ],
)
def test_anyone_else_gets_one_line_to_run(machine: Machine, program: str, line: str) -> None:
    machine.put(program, "#!/usr/bin/env bash\nexit 1\n")
    machine.lack("lacks-libraries")
    done = machine.demo()
    assert done.returncode == 1
    assert machine.journal() == ["venv"]
    assert done.stderr.count("\n") == 1
    assert "libEGL.so.1" in done.stderr
    assert done.stderr.endswith(f"{line}\n")


def test_sudo_without_a_password_serves_as_well(machine: Machine) -> None:
    machine.put("apt-get", APT)
    machine.put("sudo", '#!/usr/bin/env bash\n[ "$1" = -n ] && shift && "$@"\n')
    machine.lack("lacks-libraries")
    assert machine.demo().returncode == 0
    assert machine.journal()[1].startswith("apt-get install")


def test_macos_needs_no_system_library(machine: Machine) -> None:
    machine.put("uname", "#!/usr/bin/env bash\necho Darwin\n")
    machine.lack("lacks-libraries")
    assert machine.demo().returncode == 0


def test_the_tests_run_with_what_is_handed_on(machine: Machine) -> None:
    script = machine.checkout / "scripts" / "test"
    done = machine.run(script, "tests/model", "-k", "two words")
    assert done.returncode == 0
    told = "-m pytest -n auto --dist worksteal tests/model -k two words, references may be missing"
    assert done.stdout.splitlines()[-1] == told
    assert machine.journal() == ["venv", "pip .[test]"]


def test_the_tests_serve_the_demo_too(machine: Machine) -> None:
    machine.run(machine.checkout / "scripts" / "test")
    machine.journal()
    machine.demo()
    assert machine.journal() == [f"letterer demo out in {machine.checkout}"]


def test_the_checking_machine_must_have_every_reference(machine: Machine) -> None:
    as_root(machine)
    done = machine.run("bash", str(machine.checkout / ".ci" / "run"))
    assert done.returncode == 0
    assert done.stdout.endswith("-m pytest -n auto --dist worksteal, references 1\n")
    assert any("libharfbuzz-bin" in line for line in machine.journal())


def test_references_are_asked_for_once(machine: Machine) -> None:
    machine.put("apt-get", APT)
    script = machine.checkout / "scripts" / "test"
    assert "sudo apt-get install libharfbuzz-bin" in machine.run(script).stdout
    assert "sudo" not in machine.run(script).stdout


def test_the_commands_may_be_run(repository: Path) -> None:
    for name in ("scripts/demo", "scripts/test", "scripts/check", ".ci/run"):
        assert os.access(repository / name, os.X_OK), name


@pytest.mark.parametrize(("setting", "outcome"), [("", "1 skipped"), ("1", "1 failed")])
@pytest.mark.parametrize(
    "ask",
    ["reference_tool('no-such-tool')", "reference_file('nowhere')", "reference_module('nix')"],
)
def test_a_missing_reference_is_skipped_or_fails(
    tmp_path: Path, repository: Path, ask: str, setting: str, outcome: str
) -> None:
    shutil.copy(repository / "tests" / "conftest.py", tmp_path)
    fixture = ask.partition("(")[0]
    (tmp_path / "test_one.py").write_text(f"def test_one({fixture}):\n    {ask}\n")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-rs", str(tmp_path)],
        cwd=tmp_path,
        env={**os.environ, "LETTERER_NEEDS_REFERENCES": setting},
        capture_output=True,
        text=True,
        check=False,
    )
    assert f"{outcome} in" in done.stdout
    assert "is not on this machine" in done.stdout


def test_the_wheel_carries_faces_and_shared_data(tmp_path: Path, repository: Path) -> None:
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    built = subprocess.run(build, cwd=repository, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("letterer-*.whl")
    installed = tmp_path / "installed"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(installed)
    for name in ("fonts_open", "shared"):
        wanted = {
            path.relative_to(repository / name)
            for path in (repository / name).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts and path.name != ".DS_Store"
        }
        packed = installed / "letterer" / "_data" / name
        assert wanted
        assert {path.relative_to(packed) for path in packed.rglob("*") if path.is_file()} == wanted
    assert (installed / "letterer" / "py.typed").exists()
    ask = (
        "import sys; sys.path.insert(0, sys.argv[1]); from letterer import resources as r;"
        "print(r.fonts_folder(), r.shared_folder(), sep='\\n')"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-c", ask, str(installed)],
        capture_output=True,
        text=True,
        check=True,
    )
    data = installed.resolve() / "letterer" / "_data"
    assert done.stdout.splitlines() == [str(data / "fonts_open"), str(data / "shared")]
