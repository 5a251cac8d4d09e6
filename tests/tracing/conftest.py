"""The shipped chain with its table of readings and its solved cases."""

from pathlib import Path

import pytest

from quizgen.cache import Cache
from quizgen.tracing import compile_tracing, read_tracing, readings
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"


@pytest.fixture(scope="session")
def bank():
    return shipped_bank()


@pytest.fixture(scope="session")
def tracing(bank):
    made, faults = read_tracing(bank)
    assert faults == []
    return made


@pytest.fixture(scope="session")
def table(tracing):
    return readings(tracing)


@pytest.fixture(scope="session")
def compiled(tracing):
    made, faults = compile_tracing(tracing, Cache(None))
    assert faults == []
    return made
