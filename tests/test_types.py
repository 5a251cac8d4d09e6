"""The types of the package hold together."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_mypy_finds_nothing() -> None:
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "quizgen"], cwd=root, capture_output=True, text=True, encoding="utf-8"
    )
    assert done.returncode == 0, done.stdout
