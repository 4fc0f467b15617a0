"""Files are written whole or not at all, and what cannot be written is told plainly."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest

from letterer.errors import LettererError
from letterer.out.files import (
    check_file,
    check_folder,
    make_folder,
    same_file,
    write_parts,
    write_whole,
)


def refusing(number: int) -> OSError:
    """What the system raises."""
    return OSError(number, os.strerror(number))


def test_a_file_is_written(tmp_path: Path) -> None:
    write_whole(tmp_path / "a b \u00fcber \u6f2b.svg", b"new")
    assert (tmp_path / "a b \u00fcber \u6f2b.svg").read_bytes() == b"new"
    assert len(list(tmp_path.iterdir())) == 1


def test_an_old_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "page.svg"
    path.write_bytes(b"old and longer than the new one")
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"


def test_a_file_may_be_read_by_whom_the_system_lets(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        write_whole(tmp_path / "page.svg", b"new")
    finally:
        os.umask(mask)
    assert (tmp_path / "page.svg").stat().st_mode & 0o777 == 0o640


def test_a_link_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real", target_is_directory=True)
    write_whole(tmp_path / "link" / "page.svg", b"new")
    assert (tmp_path / "real" / "page.svg").read_bytes() == b"new"
    (tmp_path / "page.svg").symlink_to(tmp_path / "real" / "page.svg")
    write_whole(tmp_path / "page.svg", b"newer")
    assert (tmp_path / "page.svg").is_symlink()
    assert (tmp_path / "real" / "page.svg").read_bytes() == b"newer"


def test_a_file_is_written_from_pieces(tmp_path: Path) -> None:
    path = tmp_path / "page.png"
    path.write_bytes(b"old")
    seen: list[bytes] = []

    def pieces() -> Iterator[bytes]:
        for piece in (b"ne", b"", b"w"):
            seen.append(path.read_bytes())
            yield piece

    write_parts(path, pieces())
    assert path.read_bytes() == b"new"
    assert seen == [b"old"] * 3
    assert [file.name for file in tmp_path.iterdir()] == ["page.png"]


@pytest.mark.parametrize(
    "error", [ValueError("no such shade"), OSError(5, "art"), MemoryError(), KeyboardInterrupt()]
)
def test_what_fails_while_pieces_are_made_is_no_fault_of_the_disk(
    error: BaseException, tmp_path: Path
) -> None:
    path = tmp_path / "page.png"
    path.write_bytes(b"old")

    def pieces() -> Iterator[bytes]:
        yield b"n"
        raise error

    with pytest.raises(type(error)) as told:
        write_parts(path, pieces())
    assert told.value is error
    assert path.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["page.png"]


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "the disk is full. Make room on it, or write to another folder."),
        (errno.EFBIG, "this file is larger than this system allows. Write to another disk, or ask"),
        (errno.EDQUOT, "the disk quota is used up. Make room, or write to another folder."),
        (errno.EROFS, "this is on a disk that cannot be written to. Choose another folder."),
        (errno.EACCES, "this may not be written to. Choose another folder, or change its"),
        (errno.EIO, "the disk does not answer as it should. Write to another disk."),
        (errno.EBUSY, "it cannot be written (Device or resource busy)."),
    ],
)
@pytest.mark.parametrize("where", ["mkstemp", "fdopen", "replace"])
def test_a_refusal_is_told_and_leaves_the_old_file(
    number: int, told: str, where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "page.svg"
    path.write_bytes(b"old")

    def refuse(*_: object, **__: object) -> NoReturn:
        raise refusing(number)

    class Full:
        def __init__(self, handle: int, mode: str) -> None:
            self.handle = handle

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            os.close(self.handle)

        def write(self, data: bytes) -> NoReturn:
            os.write(self.handle, data[:2])
            raise refusing(number)

    with monkeypatch.context() as patch:
        if where == "mkstemp":
            patch.setattr(tempfile, "mkstemp", refuse)
        elif where == "fdopen":
            patch.setattr(os, "fdopen", Full)
        else:
            patch.setattr(os, "replace", refuse)
        for write in (write_whole, lambda path, data: write_parts(path, iter([data]))):
            with pytest.raises(LettererError) as error:
                write(path, b"new")
            assert str(error.value).startswith(f"{path}: {told}")
            assert path.read_bytes() == b"old"
            assert [file.name for file in tmp_path.iterdir()] == ["page.svg"]


def test_an_interruption_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "page.svg"
    path.write_bytes(b"old")

    def interrupt(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["page.svg"]


def test_a_killed_process_leaves_the_old_file_or_a_whole_new_one(
    tmp_path: Path, repository: Path
) -> None:
    path = tmp_path / "page.svg"
    size = 3_000_000
    path.write_bytes(b"0" * size)
    write = (
        "import sys; from pathlib import Path; from letterer.out.files import write_whole\n"
        "print('ready', flush=True)\n"
        "count = 0\n"
        "while True:\n"
        "    count += 1\n"
        f"    write_whole(Path(sys.argv[1]), b'%d' % (count % 10) * {size})\n"
    )
    for rounds in range(3):
        with subprocess.Popen(
            [sys.executable, "-c", write, str(path)],
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(repository)},
        ) as running:
            assert running.stdout is not None and running.stdout.readline() == b"ready\n"
            time.sleep(0.05 + 0.013 * rounds)
            running.send_signal(signal.SIGKILL)
        found = path.read_bytes()
        assert found == found[:1] * size


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("folder", "this is a folder, and a file is to be written. Choose another name."),
        ("none/page.svg", "there is no such folder. Make the folder, or choose another."),
        ("file/page.svg", "part of this path is a file, not a folder. Choose another folder."),
        ("a" * 300, "this name is too long. Choose a shorter one."),
    ],
)
def test_a_file_that_cannot_be_is_told(name: str, told: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_bytes(b"")
    before = sorted(tmp_path.iterdir())
    for act in (check_file, lambda path: write_whole(path, b"new")):
        with pytest.raises(LettererError) as error:
            act(tmp_path / name)
        assert str(error.value) == f"{tmp_path / name}: {told}"
    assert sorted(tmp_path.iterdir()) == before


def test_a_device_is_never_replaced() -> None:
    for act in (check_file, lambda path: write_whole(path, b"new")):
        with pytest.raises(LettererError, match="this is a device, not a file"):
            act(Path(os.devnull))
    assert not Path(os.devnull).is_file()


def test_a_name_with_a_null_in_it_is_told(tmp_path: Path) -> None:
    for act in (check_file, check_folder, make_folder, lambda path: write_whole(path, b"new")):
        with pytest.raises(LettererError, match=r"a\\x00b: this name cannot be used"):
            act(tmp_path / "a\0b")


def test_checks_allow_what_can_be_written_and_make_nothing(tmp_path: Path) -> None:
    (tmp_path / "old.svg").write_bytes(b"old")
    check_file(tmp_path / "new.svg")
    check_file(tmp_path / "old.svg")
    check_folder(tmp_path)
    check_folder(tmp_path / "new" / "within")
    assert [file.name for file in tmp_path.iterdir()] == ["old.svg"]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("file", "this is a file, and a folder is needed. Choose another folder."),
        ("file/new", "part of this path is a file, not a folder. Choose another folder."),
        ("a" * 300, "this name is too long. Choose a shorter one."),
        ("nowhere", "this name is taken by something that is not a folder. Choose another folder."),
    ],
)
def test_a_folder_that_cannot_be_is_told(name: str, told: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    (tmp_path / "nowhere").symlink_to(tmp_path / "none")
    for act in (check_folder, make_folder):
        with pytest.raises(LettererError) as error:
            act(tmp_path / name)
        assert str(error.value) == f"{tmp_path / name}: {told}"


def test_folders_are_made_with_those_above_them(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b c" / "\u00fc")
    make_folder(tmp_path / "a" / "b c" / "\u00fc")
    assert (tmp_path / "a" / "b c" / "\u00fc").is_dir()


def test_a_folder_that_may_not_be_written_to_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The system's own answer depends on who runs the tests: a superuser may write anywhere.
    monkeypatch.setattr(os, "access", lambda *_: False)
    for act, name in ((check_folder, "new"), (check_file, "page.svg")):
        with pytest.raises(LettererError, match=r"this may not be written to\. Choose another"):
            act(tmp_path / name)


def test_a_real_folder_that_is_closed_is_told(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(0o555)
    try:
        if os.access(closed, os.W_OK):
            pytest.skip("this person may write anywhere")
        for act in (check_folder, make_folder):
            with pytest.raises(LettererError, match="this may not be written to"):
                act(closed / "new")
        with pytest.raises(LettererError, match="this may not be written to"):
            write_whole(closed / "page.svg", b"new")
    finally:
        closed.chmod(0o755)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk with room for 64 kilobytes; only where this person may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "none", str(folder)]
    try:
        done = subprocess.run(mount, capture_output=True, check=False)
    except OSError:
        pytest.skip("there is no mount on this machine")
    if done.returncode:
        pytest.skip("this person may not mount a disk")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_is_told_and_keeps_the_old_file(small_disk: Path) -> None:
    path = small_disk / "page.svg"
    write_whole(path, b"o" * 40_000)
    with pytest.raises(LettererError, match=r"page\.svg: the disk is full"):
        write_whole(path, b"n" * 40_000)
    assert path.read_bytes() == b"o" * 40_000
    assert len(list(small_disk.iterdir())) == 1


def test_a_disk_for_reading_only_is_told(small_disk: Path) -> None:
    remount = ["mount", "-o", "remount,ro", str(small_disk)]
    if subprocess.run(remount, capture_output=True, check=False).returncode:
        pytest.skip("this person may not change a mount")
    for act in (make_folder, check_folder):
        with pytest.raises(LettererError, match=r"this (is on a disk that cannot|may not) be"):
            act(small_disk / "new")
    with pytest.raises(LettererError, match="this is on a disk that cannot be written to"):
        write_whole(small_disk / "page.svg", b"new")


def test_paths_to_one_file_are_known(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "art.png").write_bytes(b"")
    (tmp_path / "b").symlink_to(tmp_path / "a", target_is_directory=True)
    assert same_file(tmp_path / "a" / "art.png", tmp_path / "b" / "art.png")
    assert same_file(tmp_path / "a" / "new.png", tmp_path / "a" / ".." / "b" / "new.png")
    assert not same_file(tmp_path / "a" / "art.png", tmp_path / "a" / "new.png")
    assert not same_file("a\0b", "a")
