"""Small sites built in a folder of their own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

PUMP = Path(__file__).parents[1] / "courses" / "pump"

Build = Callable[..., Path]


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Build:
    """Build the pump course with changed pages, bank lines and options; gives the site's folder.

    pages: name → Markdown; bank: pairs (old text, new text) for bank/course.yml; more: options of mkdocs.
    """
    monkeypatch.setenv("NO_MKDOCS_2_WARNING", "1")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")

    def made(
        pages: dict[str, str] | None = None, bank: tuple[tuple[str, str], ...] = (), name: str = "one", **more: Any
    ) -> Path:
        folder = tmp_path / name
        shutil.copytree(PUMP, folder, ignore=shutil.ignore_patterns(".cache"), dirs_exist_ok=True)
        for page, text in (pages or {}).items():
            (folder / "pages" / page).parent.mkdir(parents=True, exist_ok=True)
            (folder / "pages" / page).write_text(text, encoding="utf-8")
        file = folder / "bank" / "course.yml"
        text = file.read_text(encoding="utf-8")
        for old, new in bank:
            assert old in text, old
            text = text.replace(old, new)
        file.write_text(text, encoding="utf-8")
        options: dict[str, Any] = {"site_dir": str(folder / "site"), "plugins": ["search", "quizgen"], **more}
        config = load_config(str(folder / "mkdocs.yml"), strict=True, **options)
        config.plugins.on_startup(command="build", dirty=False)
        try:
            mkdocs_build(config)
        except Abort as abort:
            # mkdocs prints the plugin's one line and stops; the tests look at that line.
            raise abort.__context__ or abort from None
        return folder / "site"

    return made
