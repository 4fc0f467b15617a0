"""Pages as jobs: the same bytes wherever they are done, and nothing lost when something fails."""

from __future__ import annotations

import importlib
import json
import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from letterer.api import Output, letter
from letterer.cluster import cluster
from letterer.errors import Fault, LettererError
from letterer.jobs import PageDone, do_page, run, usual_jobs

PAGES = 5


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """A script of five pages and its layout."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    numbers = range(1, PAGES + 1)
    script.write_text(
        "\n".join(f"PAGE {n}\nPANEL 1\nNELL: The lamp of page {n}.\nSFX: Krrang!" for n in numbers),
        "utf-8",
    )
    plans = [
        {
            "page": n,
            "panels": [{"panel": 1, "box": [3, 3, 54, 54], "mouths": {"NELL": [20, 45]}}],
            "placements": [
                {"unit": f"{n}.1.1", "center": [25, 15]},
                {"unit": f"{n}.1.2", "box": [5, 40, 30, 10]},
            ],
        }
        for n in numbers
    ]
    page = {"trim": [60, 60], "bleed": 3, "live": 3}
    layout.write_text(json.dumps({"letterer": 1, "unit": "mm", "page": page, "pages": plans}))
    return script, layout


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, hidden ones too, by its name."""
    return {file.name: file.read_bytes() for file in folder.iterdir()}


@pytest.fixture
def alone(files: tuple[Path, Path], tmp_path: Path) -> dict[str, bytes]:
    """The files as one process alone writes them."""
    letter(*files, Output(tmp_path / "alone", dpi=100))
    made = contents(tmp_path / "alone")
    assert len(made) == 2 * PAGES
    return made


class Late(Executor):
    """An engine of someone else's: it does all work at the end, the last page first."""

    def __init__(self) -> None:
        self.waiting: list[tuple[Future[Any], Callable[..., Any], tuple[Any, ...]]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        # What travels to another machine is packed there and back.
        self.waiting.append((future, fn, pickle.loads(pickle.dumps(args))))
        if len(self.waiting) == PAGES:
            for ended, work, given in reversed(self.waiting):
                ended.set_result(pickle.loads(pickle.dumps(work(*given))))
        return future


def test_two_processes_write_the_same_bytes_as_one(
    files: tuple[Path, Path], alone: dict[str, bytes], tmp_path: Path
) -> None:
    told: list[tuple[str, float]] = []
    output = Output(tmp_path / "both", dpi=100, jobs=2)
    result = letter(*files, output, lambda words, share: told.append((words, share)))
    assert contents(tmp_path / "both") == alone
    assert [file.name for file in result.files] == [
        f"page-00{n}.{kind}" for n in range(1, PAGES + 1) for kind in ("svg", "png")
    ]
    assert sorted(words for words, _ in told) == [f"page {n} lettered" for n in range(1, PAGES + 1)]
    assert [share for _, share in told] == pytest.approx([n / PAGES for n in range(1, PAGES + 1)])
    plain = letter(*files, Output(tmp_path / "both", dpi=100))
    assert result == plain


@pytest.mark.parametrize("engine", [Late, lambda: ThreadPoolExecutor(3)])
def test_any_executor_will_do(
    engine: Callable[[], Executor],
    files: tuple[Path, Path],
    alone: dict[str, bytes],
    tmp_path: Path,
) -> None:
    with engine() as executor:
        result = letter(*files, Output(tmp_path / "other", dpi=100), executor=executor)
    assert contents(tmp_path / "other") == alone
    assert [page.number for page in result.pages] == list(range(1, PAGES + 1))


def test_a_page_that_fails_elsewhere_is_named_and_the_others_are_written(
    files: tuple[Path, Path], alone: dict[str, bytes], tmp_path: Path
) -> None:
    script = files[0].read_text("utf-8").replace("page 3", "page \U0001f600")
    files[0].write_text(script, "utf-8")
    result = letter(*files, Output(tmp_path / "out", dpi=100, jobs=2))
    assert result.failed == (3,)
    assert [(fault.file, fault.line) for fault in result.faults] == [(str(files[0]), 11)]
    expected = {name: data for name, data in alone.items() if "003" not in name}
    assert contents(tmp_path / "out") == expected


class Deadly(str):
    """A word that ends the process that reads it, as a system does that is short of memory."""

    def __reduce__(self) -> tuple[Any, ...]:
        return os._exit, (9,)


class Fails(Executor):
    """An engine that loses one page and is out of order for another."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        number = args[0].page.number
        if number == 2:
            future.set_exception(RuntimeError("the worker\nwas lost"))
        elif number == 4:
            future.set_exception(MemoryError())
        else:
            future.set_result(fn(*args))
        return future


def test_what_an_engine_loses_is_told_in_one_line_each(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    result = letter(*files, Output(tmp_path / "out", ("svg",)), executor=Fails())
    assert result.failed == (2, 4)
    assert [fault.what for fault in result.faults] == [
        "letterer itself failed on this page (RuntimeError: the worker was lost)",
        "there is not enough memory",
    ]
    assert sorted(contents(tmp_path / "out")) == [f"page-00{n}.svg" for n in (1, 3, 5)]


def test_a_page_that_ends_its_process_takes_no_other_with_it(
    files: tuple[Path, Path], alone: dict[str, bytes], tmp_path: Path
) -> None:
    from dataclasses import replace

    from letterer import jobs

    taken: list[jobs.PageJob] = []

    class Taking(Executor):
        def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
            taken.append(args[0])
            future: Future[Any] = Future()
            future.set_result(PageDone(args[0].page.number))
            return future

    letter(*files, Output(tmp_path / "out", dpi=100), executor=Taking())
    taken[1] = replace(taken[1], kinds=(Deadly("svg"),))
    done = {one.number: one for one in run(taken, 2)}
    assert sorted(done) == list(range(1, PAGES + 1))
    assert [number for number, one in done.items() if one.faults] == [2]
    assert str(done[2].faults[0]).startswith(
        "page 2: the system ended the process that lettered this page, for want of memory perhaps."
    )
    expected = {name: data for name, data in alone.items() if "002" not in name}
    assert contents(tmp_path / "out") == expected


def test_a_mistake_of_ours_is_told_and_stops_nothing(
    files: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import letterer.page.compose as compose

    real = compose.compose_page

    def wrong(page: Any, *others: Any) -> Any:
        if page.number == 2:
            raise KeyError("oval")
        return real(page, *others)

    monkeypatch.setattr(compose, "compose_page", wrong)
    result = letter(*files, Output(tmp_path / "out", ("svg",)))
    assert result.failed == (2,)
    assert "letterer itself failed on this page (KeyError: 'oval')" in str(result.faults[0])


def test_processes_are_taken_for_many_pages_only() -> None:
    assert usual_jobs(0) == usual_jobs(1) == usual_jobs(3) == 1
    assert 1 <= usual_jobs(10_000) <= (os.cpu_count() or 1)


SLOW = """
import sys
from letterer.cli.main import main
if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_ctrl_c_with_processes_leaves_whole_files_only(
    files: tuple[Path, Path], alone: dict[str, bytes], tmp_path: Path, repository: Path
) -> None:
    program = tmp_path / "program.py"
    program.write_text(SLOW)
    command = [sys.executable, str(program), "letter", *map(str, files), "-o", "stopped"]
    with subprocess.Popen(
        [*command, "--dpi", "100", "--jobs", "2"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(repository)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as running:
        folder = tmp_path / "stopped"
        while running.poll() is None and not (folder.is_dir() and any(folder.glob("page-*.svg"))):
            time.sleep(0.002)
        os.killpg(running.pid, signal.SIGINT)  # as a terminal does: to all processes at once
        out, err = running.communicate()
    if running.returncode == 0:
        pytest.skip("it was done before the signal came")
    assert (running.returncode, out) == (130, b"")
    assert err == b"letterer: stopped; every file that was written is whole.\n"
    made = contents(folder)
    assert made and all(data == alone[name] for name, data in made.items())


@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_workers_end_when_the_process_that_began_them_is_killed(tmp_path: Path) -> None:
    program = tmp_path / "program.py"
    program.write_text(
        "import os, time\n"
        "from telling import tell\n"
        "from letterer.processes import Beside\n"
        "for _, worker in Beside(tell, 1, print).run([1, 2]):\n"
        "    print(worker, flush=True)\n"
        "    time.sleep(60)\n"
    )
    (tmp_path / "telling.py").write_text("import os\ndef tell(item):\n    return os.getpid()\n")
    with subprocess.Popen([sys.executable, str(program)], stdout=subprocess.PIPE) as running:
        assert running.stdout is not None
        worker = int(running.stdout.readline())
        running.kill()
    while True:
        try:
            os.kill(worker, 0)
        except ProcessLookupError:
            return
        if Path(f"/proc/{worker}/stat").is_file():
            state = Path(f"/proc/{worker}/stat").read_text().rpartition(")")[2].split()[0]
            if state == "Z":
                return
        time.sleep(0.01)


# --- A cluster ------------------------------------------------------------------------------------


def killing_first(job: Any, mark: str) -> PageDone:
    """Do a page, but end the whole worker the first time that this is asked for page 2."""
    done = do_page(job)
    if job.page.number == 2 and not os.path.exists(mark):
        Path(mark).write_bytes(b"")
        os._exit(9)
    return done


class Killing(Executor):
    """A cluster's executor, with a worker that is killed in the middle of a run, after it has
    written its page and before it could say so."""

    def __init__(self, inner: Executor, mark: Path) -> None:
        self.inner, self.mark = inner, mark

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        again: Callable[..., Any] = killing_first
        return self.inner.submit(again, *args, str(self.mark))


@pytest.fixture
def scheduler(reference_module: Callable[[str], ModuleType]) -> Iterator[str]:
    """The address of a small cluster on this machine; skips where dask.distributed is missing."""
    distributed = reference_module("distributed")
    with ExitStack() as stack:
        local = stack.enter_context(
            distributed.LocalCluster(
                n_workers=2, threads_per_worker=1, dashboard_address=None, processes=True
            )
        )
        yield local.scheduler_address


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_that_loses_a_worker_loses_nothing_and_does_nothing_twice(
    scheduler: str, files: tuple[Path, Path], alone: dict[str, bytes], tmp_path: Path
) -> None:
    cloudpickle = importlib.import_module("cloudpickle")

    cloudpickle.register_pickle_by_value(sys.modules[__name__])
    mark = tmp_path / "killed"
    told: list[str] = []
    with cluster(scheduler) as executor:
        result = letter(
            *files,
            Output(tmp_path / "out", dpi=100),
            lambda words, _: told.append(words),
            Killing(executor, mark),
        )
    assert mark.exists()
    assert result.failed == ()
    assert contents(tmp_path / "out") == alone
    assert sorted(told) == [f"page {n} lettered" for n in range(1, PAGES + 1)]
    assert [page.number for page in result.pages] == list(range(1, PAGES + 1))


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_that_does_not_answer_is_told(
    reference_module: Callable[[str], ModuleType],
) -> None:
    reference_module("distributed")
    for address in ("tcp://127.0.0.1:1", "nonsense://x", "nowhere", "tcp://127.0.0.1:many"):
        with pytest.raises(LettererError) as told, cluster(address, wait=0.5):
            pass
        assert str(told.value) == (
            f"the cluster at {address} does not answer. Check the address, which is written like"
            " tcp://10.0.0.5:8786, and that its scheduler runs."
        )


def test_without_its_package_a_cluster_is_refused_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(LettererError) as told, cluster("tcp://127.0.0.1:1"):
        pass
    assert told.value.faults == (
        Fault(
            "--cluster needs the package dask.distributed, which is not installed",
            'Install it with: pip install "letterer[cluster]"',
        ),
    )


def test_jobs_do_not_fork_whoever_calls_us() -> None:
    # A fork copies locks that other threads hold, and then waits for ever.
    from letterer.processes import STARTS

    assert "fork" not in STARTS
    assert set(STARTS) & set(multiprocessing.get_all_start_methods())
