"""Pages lettered by a cluster: dask.distributed as an executor (the extra `letterer[cluster]`)."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from urllib.parse import urlsplit

from letterer import __version__
from letterer.errors import Fault, LettererError

WAIT_SECONDS = 30
"""So long a cluster may take to answer, and its first worker to come."""


@contextmanager
def cluster(address: str, wait: float = WAIT_SECONDS) -> Iterator[Executor]:
    """An executor on the cluster whose scheduler has this address, such as "tcp://10.0.0.5:8786".

    When a worker is lost, its pages are given to another. Every worker must have this version of
    letterer, and see the folder to write into, the art and the faces under the same names as this
    machine. Raises LettererError.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise LettererError(
            Fault(
                "--cluster needs the package dask.distributed, which is not installed",
                'Install it with: pip install "letterer[cluster]"',
            )
        ) from error

    def fault(what: str, mend: str) -> LettererError:
        return LettererError(Fault(f"the cluster at {address} {what}", mend))

    silent = fault(
        "does not answer",
        "Check the address, which is written like tcp://10.0.0.5:8786, and that its scheduler runs",
    )
    if not _listens(address, wait):
        raise silent
    try:
        client = Client(  # type: ignore[no-untyped-call]
            address, timeout=wait, set_as_default=False
        )
    except (OSError, ValueError, TypeError) as error:
        raise silent from error
    with client:
        try:
            client.wait_for_workers(1, timeout=wait)
        except (TimeoutError, OSError) as error:
            raise fault("has no workers", "Start some, with: dask worker ADDRESS") from error
        versions = client.run(_version, on_error="return")
        other = [str(told) for told in versions.values() if told != __version__]
        if other:
            mend = "Install the same version everywhere"
            raise fault(f"does not have letterer {__version__} ({other[0]})", mend)
        with client.get_executor(  # type: ignore[no-untyped-call]
            pure=False, retries=2
        ) as executor:
            yield executor


def _listens(address: str, wait: float) -> bool:
    """Whether anything listens at an address. Asked first: where nothing does, the package would
    wait for minutes, and tell of it in its own way."""
    try:
        place = urlsplit(address if "://" in address else f"tcp://{address}")
        with socket.create_connection((place.hostname or "", place.port or 0), wait):
            return True
    except (OSError, ValueError):
        return False


def _version() -> str:
    """What a worker has; it is asked by name, so that it tells its own."""
    from letterer import __version__ as own

    return own
