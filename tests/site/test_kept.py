"""What a build made is used again while it is made from the same, and only then."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from mkdocs.exceptions import PluginError

from quizgen.cache import Cache
from quizgen.site import kept
from quizgen.site.kept import Kept
from tests.site.conftest import Build

REPOSITORY = Path(__file__).resolve().parents[2]
PRACTICE = "# One\n\n```practice\nfill-the-tank\n```\n"

SECOND_BUILD = """
import json, sys
from mkdocs.__main__ import cli
cli(["build", "-q", "-f", sys.argv[1]], standalone_mode=False)
print(json.dumps(sorted(name for name in sys.modules if name.split(".")[0] in ("quizgen", "numpy", "yaml"))))
"""


def test_a_value_is_made_once_and_again_when_a_part_or_the_code_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[int] = []

    def make() -> int:
        made.append(len(made))
        return made[-1]

    def value(*parts: str) -> Any:
        return Kept(Cache(tmp_path), "bank").value("page", parts, make)

    assert [value("a"), value("a"), value("b"), value("b")] == [0, 0, 1, 1]
    monkeypatch.setattr(kept, "code", lambda: "other code")
    assert value("b") == 2
    assert Kept(Cache(tmp_path), "other bank").value("page", ("b",), make) == 3


def test_a_name_holds_one_value_so_that_the_folder_does_not_grow(tmp_path: Path) -> None:
    for text in ("a", "b", "c"):
        Kept(Cache(tmp_path), "bank").value("page", (text,), lambda: "x" * 100)
    assert len(list(tmp_path.rglob("*.json"))) == 1


def test_code_script_and_style_count_as_code() -> None:
    names = {name for name, _ in kept._sources(REPOSITORY / "quizgen", "")}
    assert {"/site/pages.py", "/web/script/room.js", "/web/style/print.css"} <= names


def test_a_second_build_is_equal_and_loads_neither_the_bank_nor_what_fills_pages(build: Build) -> None:
    folder = build({"index.md": PRACTICE}).parent

    def again() -> tuple[dict[str, bytes], list[str]]:
        done = subprocess.run(
            [sys.executable, "-c", SECOND_BUILD, str(folder / "mkdocs.yml")],
            capture_output=True, check=True, env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
        )  # fmt: skip
        pages = {str(path.relative_to(folder)): path.read_bytes() for path in (folder / "site").rglob("*.html")}
        return pages, json.loads(done.stdout.decode().splitlines()[-1])

    first, _ = again()
    second, loaded = again()
    assert second == first
    assert "quizgen.site.plugin" in loaded
    assert not {"quizgen.bank.models", "quizgen.bank.load", "quizgen.site.pages", "numpy"} & set(loaded)


def test_a_question_put_on_a_second_page_is_found_though_both_pages_are_kept(build: Build) -> None:
    build({"index.md": PRACTICE})
    build({"index.md": "# One\n", "two.md": PRACTICE})
    with pytest.raises(PluginError, match=r"two\.md:4: question .fill-the-tank. stands twice: on index\.md too"):
        build({"index.md": PRACTICE, "two.md": PRACTICE})


def test_a_page_is_filled_again_when_the_bank_changes(build: Build) -> None:
    build({"index.md": PRACTICE})
    site = build({"index.md": PRACTICE}, bank=(("into an empty tank", "into a dry tank"),))
    assert "into a dry tank" in (site / "index.html").read_text(encoding="utf-8")


def test_a_damaged_file_in_the_cache_is_made_again(build: Build) -> None:
    site = build({"index.md": PRACTICE})
    first = (site / "index.html").read_bytes()
    for path in (site.parent.parent / "one" / ".cache").rglob("*.json"):
        path.write_bytes(path.read_bytes()[:-3] + b"}}}")
    assert (build({"index.md": PRACTICE}) / "index.html").read_bytes() == first
