"""Building the course with a warm and a cold cache, against the same output frozen as plain pages."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from html import unescape
from pathlib import Path

from tests.bench.row import Row, alternating

ROOT = Path(__file__).parents[2]
_CONTENT = re.compile(r'<article class="md-content__inner[^>]*>(.*?)</article>', re.DOTALL)


def rows() -> list[Row]:
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        ours, frozen = base / "ours", base / "frozen"
        _copy_course(ours)
        _build(ours)
        _freeze(ours, frozen)
        _build(frozen)

        def cold() -> None:
            shutil.rmtree(ours / ".cache", ignore_errors=True)
            _build(ours)

        cold_time, warm_time, frozen_time = alternating(cold, lambda: _build(ours), lambda: _build(frozen))
    detail = f"{warm_time:.2f} s, cold {cold_time:.2f} s, frozen {frozen_time:.2f} s"
    return [
        Row("build, cache warm ÷ frozen as plain pages", warm_time / frozen_time, 1.10, detail),
        Row("build, cache cold ÷ frozen as plain pages", cold_time / frozen_time, 2.0, detail),
    ]


def _copy_course(folder: Path) -> None:
    folder.mkdir()
    shutil.copytree(ROOT / "course", folder / "course")
    shutil.copytree(ROOT / "overrides", folder / "overrides", dirs_exist_ok=True)
    shutil.copy(ROOT / "mkdocs.yml", folder)


def _freeze(ours: Path, frozen: Path) -> None:
    """The course's pages with each practice block and reference part replaced by the HTML it became."""
    frozen.mkdir()
    config = (ours / "mkdocs.yml").read_text(encoding="utf-8")
    frozen_config = re.sub(r"(?m)^  - quizgen.*\n(?:    .*\n)*", "", config)
    (frozen / "mkdocs.yml").write_text(frozen_config, encoding="utf-8")
    shutil.copytree(ours / "overrides", frozen / "overrides", dirs_exist_ok=True)
    pages = frozen / "course" / "pages"
    shutil.copytree(ours / "course" / "pages", pages)
    shutil.copytree(ours / "site" / "assets" / "quizgen", pages / "assets" / "quizgen")
    for page in (ours / "site").rglob("*.html"):
        relative = page.relative_to(ours / "site").with_suffix(".md")
        found = _CONTENT.search(page.read_text(encoding="utf-8"))
        if relative.name == "404.md" or not found:
            continue
        target = pages / relative
        target.parent.mkdir(parents=True, exist_ok=True)
        text = target.read_text(encoding="utf-8") if target.exists() else ""
        target.write_text(_frozen_page(text, found.group(1)), encoding="utf-8")


def _frozen_page(markdown: str, html: str) -> str:
    """The Markdown with its blocks replaced; a generated page becomes its headings and HTML."""
    without_data = re.sub(r'(<template class="qz-data">).*?(</template>)', r"\1\2", html, flags=re.DOTALL)
    if not markdown:
        title = re.search(r"<h1[^>]*>(.*?)<", without_data)
        return f"# {unescape(title.group(1)) if title else 'Page'}\n\n<div>\n{without_data}\n</div>\n"
    kept = {
        "practice": re.findall(r'<div class="qz-practice">.*?</section></div>', without_data, re.DOTALL),
        "picture": re.findall(r'<figure class="qz-picture".*?</figure>', without_data, re.DOTALL),
    }

    def frozen(found: re.Match[str]) -> str:
        made = kept.get(found[1], [])
        count = len(found[2].split()) if found[1] == "picture" else 1
        return "\n\n".join(made.pop(0) for _ in range(min(count, len(made)))) or "<div></div>"

    return re.sub(r"(?ms)^```(practice|worked|overview|map|picture)\n(.*?)^```$", frozen, markdown)


def _build(folder: Path) -> None:
    environment = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "-q"], cwd=folder, check=True, env=environment, capture_output=True
    )
