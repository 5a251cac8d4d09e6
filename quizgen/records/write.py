"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

MANY = 20
"""Files for which the disk is waited for once."""


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
    """`write_whole` for many files; all are on the disk beside their places before the first takes its own.

    Raises OSError; until then no file has changed, unless it was a place that could not be taken.
    """
    beside: list[tuple[str, Path]] = []

    def write(path: Path, body: bytes) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        waiting = str(path.with_name(f".{path.name}.{os.urandom(8).hex()}"))
        with open(waiting, "xb") as file:
            beside.append((waiting, path))
            file.write(body)

    try:
        yield write
        _on_the_disk([waiting for waiting, _ in beside])
        for waiting, path in beside:
            os.replace(waiting, path)
    except BaseException:
        for waiting, _ in beside:
            Path(waiting).unlink(missing_ok=True)
        raise


def _on_the_disk(names: Sequence[str]) -> None:
    """Until the disk has them. Raises OSError.

    For many files Linux is asked once for all that waits: to wait for each of a thousand takes a slow disk minutes.
    It does not tell then what a failing disk could not take, so many files are only for what can be made again.
    Elsewhere the call does not wait, or is not there.
    """
    if len(names) >= MANY and sys.platform == "linux":
        os.sync()
    else:
        for name in names:
            with open(name, "rb+") as file:
                os.fsync(file.fileno())
