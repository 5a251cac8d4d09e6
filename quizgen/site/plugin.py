"""The plugin: hands pages their questions from the bank, adds assets and reference pages.

State is made anew in `on_config`; what lasts between two builds of a running server is only the
cache on disk, so a build never depends on the one before it. What a page became is kept there too
(`kept.py`): where nothing it was made from has changed, neither the bank nor the code that fills
pages is loaded, which is why the rooms are imported inside functions here.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page

from quizgen.bank.faults import BankError
from quizgen.cache import Cache, content_key, folder_content
from quizgen.site import offline
from quizgen.site.aside import leave_out
from quizgen.site.config import QuizgenConfig
from quizgen.site.content import Content
from quizgen.site.errors import SiteError
from quizgen.site.fence import custom_fences, markdown_of
from quizgen.site.headings import put_headings
from quizgen.site.kept import Kept
from quizgen.site.payload import put_data

log = get_plugin_logger(__name__)


class QuizgenPlugin(BasePlugin[QuizgenConfig]):
    """Turns `practice` fences into questions from the course's bank."""

    content: Content
    kept: Kept
    data: dict[str, str]
    """The text of each question's and each case's template."""

    def on_startup(self, *, command: str, dirty: bool) -> None:
        """Defined so that mkdocs keeps one object over the rebuilds of a server."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        folder = self._course(config)
        self.store = Cache(folder.parent / ".cache" / "quizgen")
        self.content, self.data = Content(folder, self.store), {}
        self.kept = Kept(self.store, content_key(folder.name, folder_content(folder / "bank")))
        self._made("proved", (), self.content.prove)
        name, style = self._made("style", (), _style)
        self.style = (name, style)
        config.extra_css.insert(0, name)
        _add_fences(config)
        config.watch.append(str(folder / "bank"))
        return config

    def _made(self, name: str, parts: tuple[str, ...], make: Callable[[], Any]) -> Any:
        """The kept value, or the one that is made now; a fault ends the build with its lines."""
        try:
            return self.kept.value(name, parts, make)
        except BankError as error:
            for fault in error.faults:
                log.error("%s", fault)
            count = len(error.faults)
            raise PluginError(f"{count} {'fault' if count == 1 else 'faults'} in the bank, listed above") from None
        except SiteError as error:
            raise PluginError(str(error)) from None

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
        name, style = self.style
        files.append(File.generated(config, name, content=style))
        offline.add_search_frame(config, files)
        for uri, content in self._made("reference", (self.config.reference,), self._reference).items():
            if old := files.get_file_from_path(uri):
                files.remove(old)
            files.append(File.generated(config, uri, content=content))
        return files

    def _reference(self) -> dict[str, str]:
        from quizgen.site.reference import reference_pages

        return reference_pages(self.content.bank, self.config.reference)

    def on_nav(self, nav: Navigation, *, config: MkDocsConfig, files: Files) -> Navigation:
        return leave_out(nav, self.config.aside) if self.config.aside else nav

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        def put() -> str:
            from quizgen.site.numbers import put_numbers

            return put_numbers(markdown, page, self.content)

        if "`show " not in markdown:
            return markdown
        made: str = self._made(f"numbers {page.file.src_uri}", (markdown, markdown_of(page)), put)
        return made

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        def fill() -> dict[str, Any]:
            from quizgen.site import case_index, chain, overview, your_plan
            from quizgen.site.pages import filled

            overview.check_overview(markdown_of(page), page)
            chain.check_map(markdown_of(page), page, self.content.bank)
            case_index.check_cases(markdown_of(page), page)
            your_plan.check_plan(markdown_of(page), page)
            return filled(html, page, self.content)

        uri = page.file.src_uri
        parts = (uri, str(page.file.generated_by), html, markdown_of(page), *sorted(self.content.tables))
        made = self._made(f"page {uri}", parts, fill)
        if self.content.is_twice(made):
            # Kept from a time when it stood on no other page: filled again, the fault names both.
            self._made(f"twice {uri}", (*parts, *self.content.seen, *self.content.case_pages), fill)
        self.content.take(made, uri)
        self.data.update(made["data"])
        # Ids in raw HTML are unknown to mkdocs' own check of links within the site.
        page.present_anchor_ids = {
            *(page.present_anchor_ids or ()),
            *(f"q-{id}" for id in made["questions"]),
            *(f"case-{id}" for id in made["cases"]),
        }
        filled_html: str = made["html"]
        return filled_html

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files) -> Any:
        """All pages are known now."""

        def finish() -> dict[str, Any]:
            from quizgen.site.finish import finished

            return finished(files, self.content, self.config.reference)

        made = self._made("finished", (self.config.reference, *self._stands(files)), finish)
        for uri, html in made["pages"].items():
            page = files.src_uris[uri].page
            assert page is not None
            page.content = html
        for uri, at, entries in made["headings"]:
            page = files.src_uris[uri].page
            assert page is not None
            put_headings(page, at, entries)
        self.data.update(made["data"])
        for name, content in made["assets"]:
            files.append(File.generated(config, name, content=content))
        config.extra_javascript.append(made["script"])
        return env

    def _stands(self, files: Files) -> list[str]:
        """All that the last step looks at: each page's address, module and HTML, and what stands on it."""
        content = self.content
        stands = (content.seen, content.tables, content.case_pages)
        made = [f"{id} {uri}" for found in stands for id, uri in (*found.items(), ("", ""))]
        for file in files.documentation_pages():
            meta, html = (file.page.meta, file.page.content or "") if file.page else ({}, "")
            made += [file.src_uri, file.url, str(meta.get("module")), hashlib.sha256(html.encode()).hexdigest()]
        return made

    # Before other plugins rewrite the finished HTML: they then see the payload's place too.
    @event_priority(50)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        return put_data(output, self.data, page.file.src_uri)

    # After the search plugin has written its index.
    @event_priority(-90)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        offline.copy_index(Path(config.site_dir))
        self.content.ahead.finish()

    def on_build_error(self, error: Exception) -> None:
        # An error may come before any course was opened.
        if hasattr(self, "content"):
            self.content.ahead.end()

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Watch where the bank's folder really is, in case it is linked."""
        real = os.path.realpath(self._course(config) / "bank")
        if os.path.exists(real):
            server.watch(real)
        return server


def _style() -> list[str]:
    from quizgen.web import bundle

    style = bundle.style()
    return [style.name, style.content]


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
