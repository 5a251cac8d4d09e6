"""The order of the files: what takes long begins first, so that no worker is left with it at the end."""

from __future__ import annotations

from pathlib import Path

import pytest

LONGEST = (
    "browser/test_trace.py",  # fills the cache and builds the site while the next file needs neither
    "records/test_crash.py",
    "course/test_trainer_manual.py",
    "browser/test_look.py",
    "browser/test_judge.py",
    "tracing/test_manual.py",
    "browser/test_paper.py",
    "browser/test_plan.py",
    "browser/test_everywhere.py",
    "browser/test_sheet_print.py",
    "test_types.py",
    "browser/test_typed.py",
    "papers/test_issue.py",
    "papers/test_mark.py",
    "tracing/test_whole_chain.py",
    "cohort/test_manual.py",
    "cohort/test_follow_manual.py",
    "site/test_build.py",
    "commands/test_command_line.py",
)
"""Files that take longest, as they begin. One that is missing here is only later; its tests are the same."""


def pytest_configure(config: pytest.Config) -> None:
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False  # xdist would begin with the files of many tests, which are quick


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    place = {here / name: at for at, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path, len(place)))
