"""The exact versions that CI and every clone install."""

import os
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

REPOSITORY = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
WISHES = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]
PINS = (REPOSITORY / ".ci" / "constraints.txt").read_text(encoding="utf-8").splitlines()
LINES = [line for line in PINS if not line.startswith("# ")]


def test_a_pin_is_a_name_and_a_version_and_no_place():
    assert [line for line in LINES if not re.fullmatch(r"[A-Za-z0-9_.-]+==[0-9][0-9A-Za-z.+!]*", line)] == []
    names = [canonicalize_name(line.split("==")[0]) for line in LINES]
    assert len(names) == len(set(names)) > 0


@pytest.mark.parametrize("wish", WISHES)
def test_every_wish_is_pinned_to_a_version_it_allows(wish):
    pins = {canonicalize_name(name): version for name, version in (line.split("==") for line in LINES)}
    wanted = Requirement(wish)
    assert canonicalize_name(wanted.name) in pins
    assert pins[canonicalize_name(wanted.name)] in wanted.specifier


@pytest.mark.skipif(os.name == "nt", reason="a file has no such bit there")
def test_ci_can_run_its_script():
    assert os.access(REPOSITORY / ".ci" / "run", os.X_OK)
