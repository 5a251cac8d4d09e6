"""The `cases` fence: levels or nothing, once on a page; a course without cases has none and no row at home."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

Build = Callable[..., Path]
HOME = "# Home\n\n```overview\n```\n"


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ("```cases\neasy\nharder\n```\n", 'list.md:5: "harder" is no level: write easy, medium, hard'),
        ("```cases\n```\n\n```cases\nhard\n```\n", "list.md:6: a second cases block: one is enough for a page"),
        ("```case\nno-such-van\n```\n", 'list.md:4: "no-such-van" is no case of fault tracing.'),
    ],
)
def test_a_wrong_block_is_told_with_page_and_line(build: Build, block: str, said: str) -> None:
    with pytest.raises(PluginError) as told:
        build({"index.md": HOME, "list.md": f"# List\n\n{block}"})
    assert said in str(told.value)


def test_a_course_without_cases_has_an_empty_list_and_no_row_at_home(build: Build) -> None:
    site = build({"index.md": HOME, "list.md": "# List\n\n```cases\n```\n"}, use_directory_urls=False)
    assert "cases/all" not in (site / "index.html").read_text(encoding="utf-8")
    listed = (site / "list.html").read_text(encoding="utf-8")
    assert 'class="qz-overview qz-cases"' in listed and "<li data-module" not in listed
