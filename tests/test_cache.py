"""Objects in the cache: ours come back equal, anything else is as if it were not there."""

import hashlib
import pickle
from decimal import Decimal
from fractions import Fraction

import pytest

from quizgen.bank.models import Module, Source
from quizgen.cache import Cache, content_key

KEY = content_key("test")


def planted(folder, body):
    """A file with a right head over any body, as someone with access to the folder could write it."""
    path = folder / KEY[:2] / f"{KEY}.object"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(f"{KEY} {hashlib.sha256(body).hexdigest()}".encode() + b"\n" + body)


def test_frozen_values_come_back_equal(tmp_path):
    value = {"modules": (Module("a", "B1", "A", (), 5, ("x",)), Decimal("0.10"), Fraction(1, 3)), "empty": None}
    Cache(tmp_path).put_object(KEY, value)
    assert Cache(tmp_path).get_object(KEY) == value


class Calls:
    """Pickles itself as a call, as hostile files do."""

    def __init__(self, function, *arguments):
        self.reduced = (function, arguments)

    def __reduce__(self):
        return self.reduced


@pytest.mark.parametrize("function", [exec, eval, __import__, getattr, Source.__init__])
def test_a_pickle_that_names_anything_else_calls_nothing(tmp_path, function):
    planted(tmp_path, pickle.dumps(Calls(function, "raise SystemExit")))
    assert Cache(tmp_path).get_object(KEY) is None


def test_a_function_of_this_package_is_refused_too(tmp_path):
    planted(tmp_path, pickle.dumps(content_key))
    assert Cache(tmp_path).get_object(KEY) is None


def test_a_module_reached_through_this_package_is_refused(tmp_path):
    planted(tmp_path, b"\x80\x05\x8c\x0dquizgen.cache\x8c\x02os\x93.")
    assert Cache(tmp_path).get_object(KEY) is None


@pytest.mark.parametrize("body", [b"", b"\x80\x05", b"\x80\x05.", b"(" * 100_000, b"\xff" * 50])
def test_a_damaged_pickle_counts_as_absent(tmp_path, body):
    planted(tmp_path, body)
    assert Cache(tmp_path).get_object(KEY) is None


def test_a_changed_byte_counts_as_absent(tmp_path):
    Cache(tmp_path).put_object(KEY, ("a", "b"))
    path = tmp_path / KEY[:2] / f"{KEY}.object"
    path.write_bytes(path.read_bytes().replace(b"a", b"c"))
    assert Cache(tmp_path).get_object(KEY) is None
