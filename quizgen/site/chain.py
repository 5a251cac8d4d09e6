"""The `map` fence, and the strip that tells on a module's page where in the chain it stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mkdocs.structure.files import File
from mkdocs.structure.pages import Page

from quizgen.bank.models import Bank
from quizgen.site.errors import OverviewError
from quizgen.web.chain_map import Way, map_html, strip_html, ways
from quizgen.web.page_blocks import blocks_in

PLACEHOLDER = '<div class="qz-map"></div>'


def check_map(markdown: str, page: Page, bank: Bank) -> None:
    """A map fence stays empty and needs a chain in the bank; one is enough for a page. Raises OverviewError."""
    blocks = [block for block in blocks_in(markdown) if block.name == "map"]
    for at, block in enumerate(blocks):
        place = f"{page.file.src_uri}:{block.line}"
        if bank.chain is None:
            raise OverviewError(f"{place}: a map needs a chain: section in the bank")
        if block.ids:
            raise OverviewError(f"{page.file.src_uri}:{block.line + 1}: a map block stays empty: it shows the chain")
        if at:
            raise OverviewError(f"{place}: a second map block: one is enough for a page")


def fill_chain(
    html: str, page: Page, bank: Bank, pages: Mapping[str, File], places: Mapping[str, Mapping[str, File]]
) -> str:
    """The page's HTML with its map, or with the strip below its title if it teaches a module."""
    chain = bank.chain
    if chain is None:
        return html
    if PLACEHOLDER in html:
        html = html.replace(PLACEHOLDER, map_html(chain, _ways(page, bank, pages, places)))
    module = bank.modules.get(str(page.meta.get("module")))
    if module:
        strip = strip_html(chain, module, _ways(page, bank, pages, places))
        title, end, rest = html.partition("</h1>")
        html = title + end + strip + rest if end else strip + html
    return html


def _ways(
    page: Page, bank: Bank, pages: Mapping[str, File], places: Mapping[str, Mapping[str, File]]
) -> Callable[[str], Way]:
    counts = {module: len(found) for module, found in places.items()}
    return ways(bank.modules, counts, lambda id: pages[id].url_relative_to(page.file) if id in pages else "")
