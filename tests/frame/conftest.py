"""start.py is tried as a copy in a folder of its own, so that no test touches this clone's .venv or site."""

import importlib.util
import shutil
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]


def load(folder):
    """A fresh start module whose ROOT is folder."""
    shutil.copy(REPOSITORY / "start.py", folder)
    spec = importlib.util.spec_from_file_location("start", folder / "start.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def clone(tmp_path):
    """A folder with all that start.py reads before anything is installed."""
    folder = tmp_path.resolve() / "clone"
    (folder / ".ci").mkdir(parents=True)
    (folder / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    (folder / ".ci" / "constraints.txt").write_text("click==8.5.1\n", encoding="utf-8")
    return folder


@pytest.fixture
def start(clone, monkeypatch):
    """start.py in that folder, as it is on a person's machine: not in CI, no browser named."""
    monkeypatch.delenv("CI", raising=False)
    monkeypatch.delenv("QUIZGEN_CHROMIUM", raising=False)
    return load(clone)


@pytest.fixture
def move(clone, tmp_path):
    """Moves the clone, and loads start.py from where it is then."""

    def moved():
        there = tmp_path.resolve() / "elsewhere"
        clone.rename(there)
        return load(there)

    return moved


@pytest.fixture
def program(tmp_path):
    """Writes a small program; exit_code is what it ends with, whatever it is asked."""
    folder = tmp_path / "programs"
    folder.mkdir()

    def write(name, exit_code=0):
        path = folder / name
        path.write_text(f"#!/bin/sh\nexit {exit_code}\n", encoding="utf-8")
        path.chmod(0o755)
        return str(path)

    write.folder = folder
    return write
