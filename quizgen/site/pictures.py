"""The `picture` fence: drawings of the bank, drawn once and kept until bank or drawing code change."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from quizgen.bank.models import Bank
from quizgen.cache import Cache, content_key
from quizgen.variants.wave import Wave

_DRAWN_BY = ("circuit_svg.py", "wave_svg.py", "drawn_text.py", "lettering.py")


def drawn_pictures(bank: Bank, waves: dict[str, Wave], store: Cache) -> dict[str, str]:
    """The figure of every picture by its name. With a warm cache nothing is drawn and no library loaded."""
    if not bank.pictures:
        return {}
    circuits = [picture for picture in bank.pictures.values() if picture.parts]
    key = content_key(_code(), repr(circuits), repr(waves))
    kept: Any = store.get(key)
    if isinstance(kept, dict) and kept.keys() == bank.pictures.keys():
        return kept
    from quizgen.web.circuit_svg import circuit_html
    from quizgen.web.wave_svg import wave_html

    made = {picture.id: circuit_html(picture) for picture in circuits} | {id: wave_html(w) for id, w in waves.items()}
    store.put(key, made)
    return made


@cache
def _code() -> str:
    """Hash of the code that draws."""
    folder = files("quizgen.web")
    return hashlib.sha256(b"\0".join(folder.joinpath(name).read_bytes() for name in _DRAWN_BY)).hexdigest()
