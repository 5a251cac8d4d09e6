"""A running server: one edit compiles one question again; a fault is shown and the next good edit recovers."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

PUMP = Path(__file__).parents[1] / "courses" / "pump"


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """What `mkdocs serve` does on each change: read the configuration again, keep the plugin object, build."""
    monkeypatch.setenv("NO_MKDOCS_2_WARNING", "1")
    folder = tmp_path / "pump"
    shutil.copytree(PUMP, folder, ignore=shutil.ignore_patterns(".cache"))
    started = []

    class Server:
        bank = folder / "bank" / "course.yml"

        def change(self, old: str, new: str) -> None:
            text = self.bank.read_text(encoding="utf-8")
            assert old in text
            self.bank.write_text(text.replace(old, new), encoding="utf-8")

        def rebuild(self) -> int:
            """Build and say how many questions were compiled anew."""
            config = load_config(str(folder / "mkdocs.yml"), site_dir=str(folder / "site"))
            if not started:
                config.plugins.on_startup(command="serve", dirty=False)
                started.append(config.plugins["quizgen"])
            build(config)
            return config.plugins["quizgen"].store.made

        def page(self) -> str:
            return (folder / "site" / "index.html").read_text(encoding="utf-8")

    return Server()


def test_one_edit_compiles_only_that_question_again(server: Any) -> None:
    assert server.rebuild() == 2
    assert server.rebuild() == 0
    server.change("into an empty tank", "into a dry tank")
    assert server.rebuild() == 1
    assert "into a dry tank" in server.page()


def test_an_edit_that_only_moves_lines_compiles_nothing(server: Any) -> None:
    server.rebuild()
    server.change("questions:\n", "\n\nquestions:\n")
    assert server.rebuild() == 0


def test_a_fault_shows_its_line_keeps_the_old_site_and_the_next_edit_recovers(
    server: Any, caplog: pytest.LogCaptureFixture
) -> None:
    server.rebuild()
    before = server.page()
    server.change("answer: 3 figures in min\n  power", "answer: 3 figures in mn\n  power")
    with pytest.raises(Abort):
        server.rebuild()
    assert any('fill-the-tank: "mn" is no unit' in r.getMessage() for r in caplog.records)
    assert server.page() == before
    server.change("3 figures in mn", "3 figures in min")
    assert server.rebuild() == 0
    assert 'data-question="fill-the-tank"' in server.page()
