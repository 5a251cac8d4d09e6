"""Plain values kept on disk by a hash of the content they were made from.

A damaged or foreign file is treated as absent: the value is made again. Writing is atomic, so two
builds at once do no harm. The folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
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


def _head(key: str, body: bytes) -> bytes:
    """First line of a kept file: its key and the SHA-256 of the rest."""
    return f"{key} {hashlib.sha256(body).hexdigest()}".encode()


class Cache:
    """Values by key in a folder; `None` as folder keeps nothing."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self.made = 0
        """How many values were not found and had to be made."""

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / key[:2] / f"{key}.json"

    def get(self, key: str) -> Any:
        """The value, or None."""
        if self.folder is None:
            return None
        try:
            head, _, body = self._path(key).read_bytes().partition(b"\n")
            # Checked before it is parsed: a foreign file may nest deeper than the parser goes.
            return json.loads(body) if head == _head(key, body) else None
        except (OSError, ValueError):
            return None

    def put(self, key: str, value: Any) -> None:
        """Keep a value of plain data. A full or read-only disk is no error: nothing is kept then."""
        self.made += 1
        if self.folder is None:
            return
        path = self._path(key)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            ignore = self.folder / ".gitignore"
            if not ignore.exists():
                ignore.write_text(IGNORE, encoding="utf-8")
            handle, temporary = tempfile.mkstemp(dir=path.parent)
            body = json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()
            with os.fdopen(handle, "wb") as file:
                file.write(_head(key, body) + b"\n" + body)
            os.replace(temporary, path)
        except OSError:
            return
