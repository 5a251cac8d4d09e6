"""The plugin: loads and compiles the bank, hands pages their questions, adds assets and reference pages.

State is made anew in `on_config`; what lasts between two builds of a running server is only the
cache on disk, so a build never depends on the one before it.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page

from quizgen.bank.faults import BankError
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.site import chain, offline, overview
from quizgen.site.aside import leave_out
from quizgen.site.cases import cases_of
from quizgen.site.config import QuizgenConfig
from quizgen.site.fence import custom_fences
from quizgen.site.numbers import put_numbers
from quizgen.site.pages import Content, PageError, fill_page, link_tables, markdown_of, put_payload
from quizgen.site.pictures import drawn_pictures
from quizgen.site.reference import fill_lists, reference_pages, report_of
from quizgen.variants.compile import Compiled
from quizgen.variants.ready import ready_course
from quizgen.web import bundle

log = get_plugin_logger(__name__)


class QuizgenPlugin(BasePlugin[QuizgenConfig]):
    """Turns `practice` fences into questions from the course's bank."""

    bank: Bank
    compiled: dict[str, Compiled]
    content: Content

    def on_startup(self, *, command: str, dirty: bool) -> None:
        """Defined so that mkdocs keeps one object over the rebuilds of a server."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        folder = self._course(config)
        try:
            self.store = Cache(folder.parent / ".cache" / "quizgen")
            ready = ready_course(folder, self.store)
            cases = cases_of(ready.bank, self.store)
            pictures = drawn_pictures(ready.bank, ready.version, Cache(self.store.folder))
        except BankError as error:
            for fault in error.faults:
                log.error("%s", fault)
            raise PluginError(f"{len(error.faults)} faults in the bank, listed above") from None
        # What is for papers only never reaches the site.
        self.bank, self.version = ready.bank, ready.version
        self.compiled = {one["id"]: one for one in ready.compiled if one["papers"] != "only"}
        report = report_of(self.bank, self.compiled, ready.checks)
        self.content = Content(self.bank, self.compiled, ready.examples, report, pictures, cases)
        self.style = bundle.style()
        config.extra_css.insert(0, self.style.name)
        _add_fences(config)
        config.watch.append(str(folder / "bank"))
        return config

    def _course(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path).parent if config.config_file_path else Path.cwd()
        named = self.config.course
        folder = base / named if named else Path(config.docs_dir).parent
        if not (folder / "bank").is_dir():
            raise PluginError(
                f"no bank at {folder.name}/bank: put the pages beside bank/, or set course: in mkdocs.yml"
            )
        return folder

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        files.append(File.generated(config, self.style.name, content=self.style.content))
        offline.add_search_frame(config, files)
        for uri, content in reference_pages(self.bank, self.config.reference).items():
            if old := files.get_file_from_path(uri):
                files.remove(old)
            files.append(File.generated(config, uri, content=content))
        return files

    def on_nav(self, nav: Navigation, *, config: MkDocsConfig, files: Files) -> Navigation:
        return leave_out(nav, self.config.aside) if self.config.aside else nav

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        try:
            return put_numbers(markdown, page, self.content)
        except PageError as error:
            raise PluginError(str(error)) from None

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        try:
            overview.check_overview(markdown_of(page), page)
            chain.check_map(markdown_of(page), page, self.bank)
            return fill_page(html, page, self.content)
        except (PageError, overview.OverviewError) as error:
            raise PluginError(str(error)) from None

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files) -> Any:
        """All pages are known now: the overviews, and the script with what it knows of them."""
        try:
            pages = overview.module_pages(files, self.bank)
        except overview.OverviewError as error:
            raise PluginError(str(error)) from None
        places = overview.by_module(self.bank, self.compiled, self.content.seen, files)
        for file in files.documentation_pages():
            if file.page and file.page.content:
                html = overview.fill_overview(file.page.content, file.page, self.bank, pages, places)
                html = chain.fill_chain(html, file.page, self.bank, pages, places)
                html = link_tables(html, file.page, self.content, files, f"{self.config.reference}/formulas.md")
                file.page.content = fill_lists(html, file.page, self.bank, self.content.seen, files, pages)
        course = overview.course_data(self.bank, self.version, self.compiled, self.content.seen)
        script = bundle.script(self.bank.units, course)
        for asset in (script, bundle.more(self.bank.units), bundle.trace()):
            files.append(File.generated(config, asset.name, content=asset.content))
        config.extra_javascript.append(script.name)
        return env

    # Before other plugins rewrite the finished HTML: they then see the payload's place too.
    @event_priority(50)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        return put_payload(output, self.compiled, self.content.cases)

    # After the search plugin has written its index.
    @event_priority(-90)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        offline.copy_index(Path(config.site_dir))

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Watch where the bank's folder really is, in case it is linked."""
        real = os.path.realpath(self._course(config) / "bank")
        if os.path.exists(real):
            server.watch(real)
        return server


def _add_fences(config: MkDocsConfig) -> None:
    name = "pymdownx.superfences"
    listed = list(config.markdown_extensions)
    if name not in listed:
        listed.append(name)
        config.markdown_extensions = listed
    later = [e for e in ("fenced_code", "markdown.extensions.fenced_code", "extra", "markdown.extensions.extra")
             if e in listed and listed.index(e) > listed.index(name)]  # fmt: skip
    if later:
        raise PluginError(
            f"mkdocs.yml: markdown_extensions: put {later[0]} before {name}, or practice blocks stay text"
        )
    fences = config.mdx_configs.setdefault(name, {}).setdefault("custom_fences", [])
    named = {one.get("name") for one in fences}
    fences += [one for one in custom_fences() if one["name"] not in named]
