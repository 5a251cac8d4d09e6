"""The plugin: loads and compiles the bank, hands pages their questions, adds assets and reference pages.

State is made anew in `on_config`; what lasts between two builds of a running server is only the
cache on disk, so a build never depends on the one before it.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import BankError
from quizgen.bank.load import bank_files, load_bank
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.site.config import QuizgenConfig
from quizgen.site.fence import custom_fence
from quizgen.site.pages import PageError, fill_page, put_payload
from quizgen.site.reference import reference_pages
from quizgen.variants.compile import Compiled, compile_bank
from quizgen.web import bundle

log = get_plugin_logger(__name__)


class QuizgenPlugin(BasePlugin[QuizgenConfig]):
    """Turns `practice` fences into questions from the course's bank."""

    bank: Bank
    compiled: dict[str, Compiled]
    seen: dict[str, str]
    """Question id → page it stands on; a question belongs to one page."""

    def on_startup(self, *, command: str, dirty: bool) -> None:
        """Defined so that mkdocs keeps one object over the rebuilds of a server."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        self.seen = {}
        folder = self._course(config)
        try:
            self.bank = load_bank(folder)
            compiled, faults = compile_bank(self.bank, Cache(folder.parent / ".cache" / "quizgen"))
            if faults:
                raise BankError(tuple(faults))
        except BankError as error:
            for fault in error.faults:
                log.error("%s", fault)
            raise PluginError(f"{len(error.faults)} faults in the bank, listed above") from None
        # What is for papers only never reaches the site.
        self.compiled = {one["id"]: one for one in compiled if one["papers"] != "only"}
        self.style = bundle.style()
        self.script = bundle.script(self.bank.units, self._course_data(folder))
        config.extra_css.insert(0, self.style.name)
        config.extra_javascript.append(self.script.name)  # type: ignore[arg-type]
        _add_fence(config)
        config.watch.append(str(folder / "bank"))
        return config

    def _course(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path).parent if config.config_file_path else Path.cwd()
        named = self.config.course
        folder = base / named if named else Path(config.docs_dir).parent
        if not (folder / "bank").is_dir():
            raise PluginError(f"no bank at {folder.name}/bank: put the pages beside bank/, or set course: in mkdocs.yml")
        return folder

    def _course_data(self, folder: Path) -> dict[str, object]:
        """What the script knows of the course: id, version, and the questions of each module."""
        digest = hashlib.sha256()
        for path in bank_files(folder / "bank"):
            digest.update(path.read_bytes())
        modules = [
            {
                "id": module.id, "code": module.code, "title": module.title,
                "questions": [id for id, one in self.compiled.items() if one["module"] == module.id],
            }
            for module in self.bank.modules.values()
        ]  # fmt: skip
        return {
            "id": self.bank.course.id, "title": self.bank.course.title, "version": digest.hexdigest()[:10],
            "modules": modules,
        }  # fmt: skip

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        for asset in (self.style, self.script):
            files.append(File.generated(config, asset.name, content=asset.content))
        for uri, content in reference_pages(self.bank, self.compiled, self.config.reference).items():
            if old := files.get_file_from_path(uri):
                files.remove(old)
            files.append(File.generated(config, uri, content=content))
        return files

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        try:
            return fill_page(html, page, self.bank, self.compiled, self.seen, files)
        except PageError as error:
            raise PluginError(str(error)) from None

    # Before other plugins rewrite the finished HTML: they then see the payload's place too.
    @event_priority(50)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        return put_payload(output, self.compiled)

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Watch where the bank's folder really is, in case it is linked."""
        real = os.path.realpath(self._course(config) / "bank")
        if os.path.exists(real):
            server.watch(real)
        return server


def _add_fence(config: MkDocsConfig) -> None:
    name = "pymdownx.superfences"
    listed = list(config.markdown_extensions)
    if name not in listed:
        listed.append(name)
        config.markdown_extensions = listed
    later = [e for e in ("fenced_code", "markdown.extensions.fenced_code", "extra", "markdown.extensions.extra")
             if e in listed and listed.index(e) > listed.index(name)]  # fmt: skip
    if later:
        raise PluginError(f"mkdocs.yml: markdown_extensions: put {later[0]} before {name}, or practice blocks stay text")
    fences = config.mdx_configs.setdefault(name, {}).setdefault("custom_fences", [])
    if not any(fence.get("name") == "practice" for fence in fences):
        fences.append(custom_fence())
