"""Entries of the chain: what is hashed, what is signed, and in which bytes.

An entry names the head before it, so a changed, missing or moved entry breaks the chain. It holds only a
salted digest of its content: the content can be erased later and the chain still holds. Bytes are
canonical JSON (RFC 8785, library *rfc8785*), signatures are Ed25519 (RFC 8032, library *cryptography*).
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
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


def canonical(value: Any) -> bytes:
    """The one way to write plain data. Raises ValueError for what it cannot write; decimals are texts here."""
    if _holds_float(value):
        raise ValueError("a signed record holds no floating numbers: write them as texts")
    try:
        return rfc8785.dumps(value)
    except rfc8785.CanonicalizationError as error:
        raise ValueError(f"this cannot be recorded: {error}") from None


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
    fields = asdict(entry)
    del fields["head"], fields["signature"]
    return DOMAIN + canonical(fields)


def head_of(entry: Entry) -> str:
    return hashlib.sha256(signed_bytes(entry)).hexdigest()


def sealed(entry: Entry, key: Ed25519PrivateKey) -> Entry:
    """The entry with its head and signature."""
    return replace(entry, head=head_of(entry), signature=key.sign(signed_bytes(entry)).hex())


def is_signed(entry: Entry, public: bytes) -> bool:
    """Whether the signature is this key's over this entry."""
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(bytes.fromhex(entry.signature), signed_bytes(entry))
    except (InvalidSignature, ValueError):
        return False
    return True
