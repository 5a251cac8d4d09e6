"""One whole course for all commands, in a folder of its own so that its cache lies there too."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from quizgen.cli import main

REPOSITORY = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def depot(tmp_path_factory):
    folder = tmp_path_factory.mktemp("commands") / "depot"
    shutil.copytree(REPOSITORY / "tests" / "bank" / "depot", folder, ignore=shutil.ignore_patterns(".cache"))
    return folder


@pytest.fixture
def quizgen(depot, capsys):
    """Runs a command on the course: (exit code, what it printed, what it complained), with plain spaces."""

    def run(*words):
        code = main([*words, "--course", str(depot)])
        told = capsys.readouterr()
        return code, *(re.sub("[\u00a0\u202f]", " ", text) for text in told)

    return run


@pytest.fixture
def shell(depot):
    """Runs a command as a process of its own: (exit code, bytes printed, bytes complained)."""

    def run(*words, encoding="utf-8", **more):
        environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONPATH": str(REPOSITORY)}
        done = subprocess.run(
            [sys.executable, "-m", "quizgen", *words],
            capture_output=True,
            env=environment,
            cwd=more.get("cwd", depot),
        )
        return done.returncode, done.stdout, done.stderr

    return run
