"""What all workers of a run share is made by the first that needs it; the others wait for it."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.variants.ready import kept_bank

ROOT = Path(__file__).parents[1]
KEPT = ROOT / ".cache" / "quizgen"
"""What was compiled of the shipped course: named by content and code, so it serves every test that reads it."""
PATIENCE = 900
"""Seconds to wait for another worker."""


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """The folder of that name which `make` filled, once in a run. Raises RuntimeError where another worker failed."""
    base = factory.getbasetemp()
    base = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder, done, failed = base / name, base / f"{name}.done", base / f"{name}.failed"
    try:
        folder.mkdir()
    except FileExistsError:
        end = time.monotonic() + PATIENCE
        while not done.exists():
            if failed.exists() or time.monotonic() > end:
                raise RuntimeError(f"another worker did not finish {name}: see its errors") from None
            time.sleep(0.05)
        return folder
    try:
        make(folder)
    except BaseException:
        failed.touch()
        raise
    done.touch()
    return folder


@cache
def shipped_bank() -> Bank:
    """The bank of the shipped course, read once for all tests of a worker, so none may change it."""
    return kept_bank(ROOT / "course", Cache(KEPT))


def kept(factory: pytest.TempPathFactory) -> Path:
    """The cache of the shipped course, filled as `check` fills it: from a clean clone one worker compiles, once."""
    once(factory, "compiled", lambda _: cli.main(["check", "--course", str(ROOT / "course")]))
    return KEPT


def copy_of_kept(factory: pytest.TempPathFactory, folder: Path) -> None:
    """The same in a folder that a test may fill with what it makes up."""
    being_written = shutil.ignore_patterns("*.json.*", "*.object.*")  # beside its place, under a name of its own
    shutil.copytree(kept(factory), folder, ignore=being_written)
