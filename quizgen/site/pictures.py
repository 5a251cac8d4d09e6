"""The `picture` fence: drawings of the bank, drawn once and kept until bank or drawing code change."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from quizgen.bank.faults import BankError
from quizgen.bank.models import Bank, Picture
from quizgen.cache import Cache, content_key

_DRAWN_BY = (
    ("quizgen.web", ("circuit_svg.py", "wave_svg.py", "drawn_text.py", "lettering.py")),
    ("quizgen.variants", ("wave.py", "example.py", "laws.py")),
)


def drawn_pictures(bank: Bank, version: str, store: Cache) -> dict[str, str]:
    """The figure of every picture by its name. With a warm cache nothing is drawn and no library loaded.

    version: a name for the bank as it is. Raises BankError where a wave has no value.
    """
    if not bank.pictures:
        return {}
    key = content_key(_code(), "pictures", version, *bank.pictures)
    kept: Any = store.get(key)
    if isinstance(kept, dict) and kept.keys() == bank.pictures.keys():
        return kept
    made = _circuits(bank, store) | _waves(bank)
    store.put(key, made)
    return made


def _circuits(bank: Bank, store: Cache) -> dict[str, str]:
    """Kept by what they show, so that an edit elsewhere in the bank draws none again."""
    circuits = [picture for picture in bank.pictures.values() if picture.parts]
    return {picture.id: _circuit(picture, store) for picture in circuits}


def _circuit(picture: Picture, store: Cache) -> str:
    key = content_key(_code(), "circuit", repr(picture))
    kept = store.get(key)
    if isinstance(kept, str):
        return kept
    from quizgen.web.circuit_svg import circuit_html

    made = circuit_html(picture)
    store.put(key, made)
    return made


def _waves(bank: Bank) -> dict[str, str]:
    from quizgen.variants.wave import waves_of
    from quizgen.web.wave_svg import wave_html

    waves, faults = waves_of(bank)
    if faults:
        raise BankError(tuple(faults))
    return {id: wave_html(wave) for id, wave in waves.items()}


@cache
def _code() -> str:
    """Hash of the code that draws."""
    found = (files(room).joinpath(name).read_bytes() for room, names in _DRAWN_BY for name in names)
    return hashlib.sha256(b"\0".join(found)).hexdigest()
