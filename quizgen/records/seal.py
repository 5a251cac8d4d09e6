"""Entries of the chain: what is hashed, what is signed, and in which bytes.

An entry names the head before it, so a changed, missing or moved entry breaks the chain. It holds only a
salted digest of its content: the content can be erased later and the chain still holds. Bytes are
canonical JSON (RFC 8785, library *rfc8785*), signatures are Ed25519 (RFC 8032, library *cryptography*).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

DOMAIN = b"quizgen register entry 1\n"
"""Stands before what is hashed and signed, so that a signature fits nothing but an entry of this kind."""
NO_HEAD = "0" * 64
"""What the first entry names as the head before it."""
SALT = 16
"""Bytes of salt in front of a content: a digest of few possible contents must not give them away."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One link. `head` is the SHA-256 over the fields above it, `signature` the signer's over the same bytes."""

    seq: int
    prev: str
    kind: str
    person: str
    """A random name that only the table of people leads back to a code; "" where nobody is meant."""
    digest: str
    at: str
    """UTC, as in 2026-11-25T08:10:00Z."""
    signer: str
    head: str = ""
    signature: str = ""


SIGNED = tuple(name for name in Entry.__dataclass_fields__ if name not in ("head", "signature"))
"""The fields that head and signature are made over."""
_signed = attrgetter(*SIGNED)


def canonical(value: Any) -> bytes:
    """The one way to write plain data. Raises ValueError for what it cannot write; decimals are texts here."""
    if _is_plain(value):
        try:
            return _WRITER.encode(value).encode()
        except UnicodeEncodeError:
            pass  # half a character; the library says so
    if _holds_float(value):
        raise ValueError("a signed record holds no floating numbers: write them as texts")
    try:
        return rfc8785.dumps(value)
    except rfc8785.CanonicalizationError as error:
        raise ValueError(f"this cannot be recorded: {error}") from None


_WRITER = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"))
"""Made once: `json.dumps` makes one for each value."""
MOST = 2**53 - 1
"""The greatest whole number that RFC 8785 writes."""


def _is_plain(value: object) -> bool:
    """Whether Python's own writer, which is forty times faster, gives the bytes of RFC 8785.

    It does for texts, whole numbers up to `MOST`, true, false, null and lists of them. It sorts the names of an
    object by code points, the standard by UTF-16: names of ASCII come out alike. `tests/outside` compares the two.
    """
    kind = type(value)
    if kind is str or value is None or kind is bool:
        return True
    if kind is int:
        return -MOST <= value <= MOST  # type: ignore[operator]
    if kind is dict:
        for name, inner in value.items():  # type: ignore[attr-defined]
            # Most fields are texts: they are passed over without another call.
            if type(name) is not str or not name.isascii() or not (type(inner) is str or _is_plain(inner)):
                return False
        return True
    return (kind is list or kind is tuple) and all(map(_is_plain, value))  # type: ignore[call-overload]


def _holds_float(value: Any) -> bool:
    if isinstance(value, Mapping):
        return any(_holds_float(inner) for inner in value.values())
    if isinstance(value, list | tuple):
        return any(_holds_float(inner) for inner in value)
    return isinstance(value, float)


def content_digest(salt: bytes, body: bytes) -> str:
    return hashlib.sha256(salt + body).hexdigest()


def signed_bytes(entry: Entry) -> bytes:
    """What head and signature of an entry are made over."""
    return DOMAIN + canonical(dict(zip(SIGNED, _signed(entry), strict=True)))


def head_of(entry: Entry) -> str:
    return hashlib.sha256(signed_bytes(entry)).hexdigest()


def sealed(entry: Entry, key: Ed25519PrivateKey) -> Entry:
    """The entry with its head and signature."""
    body = signed_bytes(entry)
    return replace(entry, head=hashlib.sha256(body).hexdigest(), signature=key.sign(body).hex())


def is_signed(entry: Entry, public: bytes) -> bool:
    """Whether the signature is this key's over this entry."""
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(bytes.fromhex(entry.signature), signed_bytes(entry))
    except (InvalidSignature, ValueError):
        return False
    return True
