"""A signer's key: made once, kept under a passphrase, opened for one run.

The passphrase goes through scrypt (RFC 7914); the result locks the Ed25519 key with AES-256-GCM, bound to
the signer's id. What is kept says how it was locked, so that costs can rise later.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
from dataclasses import dataclass

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat

SHORTEST = 10
"""Characters of a passphrase."""
COST = 2**17
"""scrypt's N: about 0.4 s and 128 MB. Tests turn it down."""
MOST_COST = 2**20
"""A file that asks for more is not opened: it would only eat memory."""


class PassphraseError(Exception):
    """The passphrase does not fit, or cannot be taken as one; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Signer:
    """Someone who can add entries: `id` names the public key."""

    id: str
    name: str
    role: str
    key: Ed25519PrivateKey


def new_key() -> Ed25519PrivateKey:
    return Ed25519PrivateKey.generate()


def public_bytes(key: Ed25519PrivateKey) -> bytes:
    return key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)


def signer_id(public: bytes) -> str:
    return hashlib.sha256(public).hexdigest()[:16]


def locked(key: Ed25519PrivateKey, passphrase: str, cost: int = 0) -> str:
    """The key under the passphrase, as text. Raises PassphraseError for one that is too short."""
    if len(passphrase) < SHORTEST:
        raise PassphraseError(f"the passphrase is too short: use {SHORTEST} characters or more, three or four words")
    cost = cost or COST
    salt, nonce = os.urandom(16), os.urandom(12)
    private = key.private_bytes(Encoding.Raw, PrivateFormat.Raw, NoEncryption())
    id = signer_id(public_bytes(key))
    body = AESGCM(_derived(passphrase, salt, cost)).encrypt(nonce, private, id.encode())
    made = {"by": "scrypt, AES-256-GCM", "n": cost, "salt": _text(salt), "nonce": _text(nonce), "key": _text(body)}
    return json.dumps(made, sort_keys=True)


def unlocked(kept: str, id: str, passphrase: str) -> Ed25519PrivateKey:
    """The key again. Raises PassphraseError where the passphrase or the file is wrong."""
    wrong = PassphraseError("this passphrase does not open the signer's key, or the key in the file is damaged")
    try:
        held = json.loads(kept)
        cost = int(held["n"])
        if not 2 <= cost <= MOST_COST or cost & (cost - 1):
            raise wrong
        opened = _derived(passphrase, _bytes(held["salt"]), cost)
        private = AESGCM(opened).decrypt(_bytes(held["nonce"]), _bytes(held["key"]), id.encode())
        key = Ed25519PrivateKey.from_private_bytes(private)
    except (InvalidTag, ValueError, KeyError, TypeError, AttributeError):
        raise wrong from None
    if signer_id(public_bytes(key)) != id:
        raise wrong
    return key


def _derived(passphrase: str, salt: bytes, cost: int) -> bytes:
    return Scrypt(salt=salt, length=32, n=cost, r=8, p=1).derive(passphrase.encode())


def _text(value: bytes) -> str:
    return base64.b64encode(value).decode()


def _bytes(value: str) -> bytes:
    return base64.b64decode(value, validate=True)
