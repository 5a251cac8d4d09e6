"""The register's bytes, signatures and keys against published vectors, by name."""

import hashlib
import math

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from hypothesis import given
from hypothesis import strategies as st

from quizgen.records import keys
from quizgen.records.seal import DOMAIN, canonical

RFC_8032 = [
    # RFC 8032, 7.1: secret key, public key, message, signature
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c"
        "387b2eaeb4302aeeb00d291612bb0c00",
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_rfc_8032_ed25519(secret, public, message, signature):
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    assert keys.public_bytes(key).hex() == public
    assert key.sign(bytes.fromhex(message)).hex() == signature


def test_rfc_7914_scrypt():
    """RFC 7914, 12: scrypt("password", "NaCl", N=1024, r=8, p=16, 64)."""
    made = Scrypt(salt=b"NaCl", length=64, n=1024, r=8, p=16).derive(b"password")
    assert made.hex() == (
        "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b3731622eaf30d92e22a3886ff109279d9830da"
        "c727afb94a83ee6d8360cbdfa2cc0640"
    )


def test_rfc_8785_canonical_json():
    """RFC 8785, 3.2.2 and 3.2.3: the printed example's numbers, and the order of the printed keys."""
    numbers = [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001]
    assert rfc8785.dumps(numbers) == b"[333333333.3333333,1e+30,4.5,0.002,1e-27]"
    names = {"\u20ac": 1, "\r": 2, "\ufb33": 3, "1": 4, "\U0001f600": 5, "\u0080": 6, "\u00f6": 7}
    order = [2, 4, 6, 7, 1, 5, 3]
    assert [int(part[-1:]) for part in canonical(names).decode()[1:-1].split(",")] == order


SIGNS = '"\\/\n\x00\x1f\x7f\u2028é😀\ufb33'
PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**60), 2**60) | st.text() | st.text(SIGNS),
    lambda inner: st.lists(inner) | st.tuples(inner) | st.dictionaries(st.text(), inner),
)


@given(PLAIN)
def test_our_bytes_are_those_of_the_library(value):
    """The library rfc8785, for whatever plain data a record can hold; what it refuses is refused."""
    try:
        wanted = rfc8785.dumps(value)
    except rfc8785.CanonicalizationError:
        with pytest.raises(ValueError, match="cannot be recorded"):
            canonical(value)
    else:
        assert canonical(value) == wanted


@pytest.mark.parametrize("value", [1.5, {"a": [2.0]}, math.nan, 2**53, {1: "a"}, b"bytes"])
def test_what_has_no_one_way_to_be_written_is_refused(value):
    with pytest.raises(ValueError, match="floating|cannot be recorded"):
        canonical(value)


def test_a_record_has_one_text_and_one_digest():
    """Made with two libraries that agree; it pins the bytes for ever."""
    record = {"v": 1, "paper": "P0001", "answers": {"q2": "32,2", "q1": "12.60", "\u00b5": "\u22125"}, "attempt": 1}
    made = canonical(record)
    assert made.decode() == (
        '{"answers":{"q1":"12.60","q2":"32,2","\u00b5":"\u22125"},"attempt":1,"paper":"P0001","v":1}'
    )
    assert hashlib.sha256(made).hexdigest() == "d2f2f476a1e73cef01d7ff091927805a087df99e569f646d2b918c3216ce0a59"


def test_signatures_of_entries_have_a_domain_of_their_own():
    assert DOMAIN.endswith(b"\n") and b"register" in DOMAIN


def test_a_locked_key_opens_with_its_passphrase_only(monkeypatch):
    monkeypatch.setattr(keys, "COST", 16)
    key = keys.new_key()
    id = keys.signer_id(keys.public_bytes(key))
    kept = keys.locked(key, "three old wooden crates")
    assert keys.public_bytes(keys.unlocked(kept, id, "three old wooden crates")) == keys.public_bytes(key)
    for wrong_id, passphrase in ((id, "three old wooden crate"), ("0" * 16, "three old wooden crates")):
        with pytest.raises(keys.PassphraseError):
            keys.unlocked(kept, wrong_id, passphrase)


@pytest.mark.parametrize(
    "kept", ["", "{}", "[]", '{"n": 1073741824, "salt": "", "nonce": "", "key": ""}', '{"n": "x"}']
)
def test_a_damaged_lock_is_no_crash_and_eats_no_memory(kept):
    with pytest.raises(keys.PassphraseError):
        keys.unlocked(kept, "0" * 16, "three old wooden crates")


def test_a_short_passphrase_is_refused():
    with pytest.raises(keys.PassphraseError, match="too short"):
        keys.locked(keys.new_key(), "short")
