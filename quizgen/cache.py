"""Values kept on disk by a hash of the content they were made from.

Plain values are kept as JSON. Values of our own frozen classes are kept as pickles, read back by a
reader that knows dataclasses of this package and exact numbers only: whatever stands in such a file, no
other code is called. A damaged or foreign file is treated as absent: the value is made again. Writing is atomic, so two
builds at once do no harm. The folder may be deleted at any time.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import io
import json
import os
import pickle
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any

IGNORE = "# made again when needed; may be deleted\n*\n"


def content_key(*parts: str) -> str:
    """SHA-256 over length-prefixed texts."""
    digest = hashlib.sha256()
    for part in parts:
        encoded = part.encode()
        digest.update(len(encoded).to_bytes(8, "big") + encoded)
    return digest.hexdigest()


def folder_content(folder: Path) -> str:
    """SHA-256 over names and bytes of all files in a folder and below; what begins with a point is left out."""
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if path.is_file() and not any(part.startswith(".") for part in inside.parts):
            body = path.read_bytes()
            digest.update(f"{inside.as_posix()}\0{len(body)}\0".encode() + body)
    return digest.hexdigest()


def _head(key: str, body: bytes) -> bytes:
    """First line of a kept file: its key and the SHA-256 of the rest."""
    return f"{key} {hashlib.sha256(body).hexdigest()}".encode()


class Cache:
    """Values by key in a folder; `None` as folder keeps nothing."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self.made = 0
        """How many values were not found and had to be made."""
        self.ready = False
        """Whether the folder is there."""

    def get(self, key: str) -> Any:
        """The plain value, or None."""
        body = self._read(key, "json")
        try:
            return None if body is None else json.loads(body)
        except ValueError:
            return None

    def put(self, key: str, value: Any) -> None:
        """Keep a value of plain data. A full or read-only disk is no error: nothing is kept then."""
        self.made += 1
        if self.folder:
            self._write(key, "json", json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode())

    def get_object(self, key: str) -> Any:
        """The value of our own classes, or None."""
        body = self._read(key, "object")
        try:
            return None if body is None else _OwnClasses(io.BytesIO(body)).load()
        except Exception:  # a pickle made by hand can fail in any way; it is made again
            return None

    def put_object(self, key: str, value: Any) -> None:
        """Keep a value made of frozen dataclasses of this package, exact numbers and plain data."""
        self.made += 1
        if self.folder:
            self._write(key, "object", pickle.dumps(value, protocol=5))

    def _path(self, key: str, ending: str) -> Path:
        assert self.folder is not None
        return self.folder / key[:2] / f"{key}.{ending}"

    def _read(self, key: str, ending: str) -> bytes | None:
        if self.folder is None:
            return None
        try:
            head, _, body = self._path(key, ending).read_bytes().partition(b"\n")
        except OSError:
            return None
        # Checked before it is parsed: a foreign file may nest deeper than the parser goes.
        return body if head == _head(key, body) else None

    def _write(self, key: str, ending: str, body: bytes) -> None:
        assert self.folder is not None
        path = self._path(key, ending)
        # A name of its own, so that two builds at once never write into one file.
        temporary = f"{path}.{os.urandom(8).hex()}"
        try:
            if not self.ready:
                self.folder.mkdir(parents=True, exist_ok=True)
                (self.folder / ".gitignore").write_text(IGNORE, encoding="utf-8")
                self.ready = True
            path.parent.mkdir(parents=True, exist_ok=True)
            with open(temporary, "xb") as file:
                file.write(_head(key, body) + b"\n" + body)
            os.replace(temporary, path)
        except OSError:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


class _OwnClasses(pickle.Unpickler):
    """Reads pickles that name dataclasses of this package and exact numbers; refuses all else."""

    def find_class(self, module: str, name: str) -> Any:
        own = module.startswith("quizgen.")
        if own or (module, name) in (("decimal", "Decimal"), ("fractions", "Fraction")):
            found = getattr(importlib.import_module(module), name)
            if not own or (isinstance(found, type) and is_dataclass(found)):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is nothing this cache keeps")
