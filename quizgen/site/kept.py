"""What a build made, kept under a name for the next build, as long as it would be made from the same.

A name holds one value: an edit replaces it, so the folder does not grow with every save.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from quizgen.cache import Cache, content_key


class Kept:
    """Plain values by name. `made_from`: what all of them depend on; our own code is counted in by itself."""

    def __init__(self, store: Cache, made_from: str) -> None:
        self.store = Cache(store.folder)  # counts for itself: `store.made` tells how many questions were compiled
        self.made_from = made_from

    def value(self, name: str, parts: Iterable[str], make: Callable[[], Any]) -> Any:
        """The kept value if it was made from the same parts, else the one that `make` gives, kept from now on."""
        place = content_key("site", name)
        made_from = content_key(self.made_from, code(), *parts)
        kept = self.store.get(place)
        if isinstance(kept, dict) and kept.get("made from") == made_from:
            return kept["value"]
        value = make()
        self.store.put(place, {"made from": made_from, "value": value})
        return value


@cache
def code() -> str:
    """Hash of all code, script and style of this package: whatever of it changes, pages are made again."""
    digest = hashlib.sha256()
    for name, body in _sources(files("quizgen"), ""):
        digest.update(f"{name}\0{len(body)}\0".encode() + body)
    return digest.hexdigest()


def _sources(folder: Traversable, path: str) -> Iterable[tuple[str, bytes]]:
    for one in sorted(folder.iterdir(), key=lambda found: found.name):
        name = f"{path}/{one.name}"
        if one.is_dir() and one.name != "__pycache__":
            yield from _sources(one, name)
        elif one.name.endswith((".py", ".js", ".css")):
            yield name, one.read_bytes()
