"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

AT_ONCE = 4
"""Files that wait for the disk together. One after the other each waits some milliseconds for itself."""
WAITING = 100
"""Files that may wait for the disk, and are open so long, before the next one is written."""


def write_whole(path: Path, body: bytes) -> None:
    """Write beside the place, then take it. Raises OSError; then the old file, if any, is as it was."""
    write_all(path.parent, {path.name: body})


def write_all(folder: Path, bodies: Mapping[str, bytes]) -> None:
    """Several files of a folder: all are written beside their places before the first takes its own.

    Raises OSError; a full disk then has changed nothing.
    """
    folder.mkdir(parents=True, exist_ok=True)
    beside: dict[str, str] = {}
    try:
        for name, body in bodies.items():
            handle, beside[name] = tempfile.mkstemp(dir=folder, prefix=f".{name}.")
            with os.fdopen(handle, "wb") as file:
                file.write(body)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(beside[name], 0o644)
        for name in bodies:
            os.replace(beside[name], folder / name)
    except BaseException:
        for waiting in beside.values():
            Path(waiting).unlink(missing_ok=True)
        raise


@contextmanager
def writing_whole() -> Iterator[Callable[[Path, bytes], None]]:
    """`write_whole` for many files, several at a time; all of them are on the disk at the end.

    Raises the first OSError, at the end or at a later file; files that were given before it may be written.
    """
    waiting: deque[Future[None]] = deque()

    def write(path: Path, body: bytes) -> None:
        while waiting and (len(waiting) >= WAITING or waiting[0].done()):
            waiting.popleft().result()
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_name(f".{path.name}.{os.urandom(8).hex()}")
        # Writing is quick. Only the waiting is left to other threads: those that work take turns with this one.
        try:
            file = beside.open("xb")
            file.write(body)
            file.flush()
        except BaseException:
            beside.unlink(missing_ok=True)
            raise
        waiting.append(threads.submit(_take_place, file, beside, path))

    with ThreadPoolExecutor(AT_ONCE) as threads:
        yield write
        while waiting:
            waiting.popleft().result()


def _take_place(file: BinaryIO, beside: Path, path: Path) -> None:
    """Once what was written is on the disk."""
    try:
        with file:
            os.fsync(file.fileno())
        os.replace(beside, path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
