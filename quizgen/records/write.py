"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


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
