"""Search for a site that is opened from a folder.

There the theme reads its index from a script and not by a request, and its worker, which browsers
refuse to files, can be replaced. Both are made here; from a web address nothing changes.
"""

from __future__ import annotations

import hashlib
from importlib.resources import files as resources
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files

_THEME = "material"
# The theme's own offline plugin adds a script from the network unless one is listed with this in its name.
_MARK = "iframe-worker"


def add_search_frame(config: MkDocsConfig, files: Files) -> None:
    """List our stand-in for the worker before the theme's script; one from the network is dropped."""
    if config.theme.name != _THEME or "material/search" not in config.plugins:
        return
    import rjsmin

    source = resources("quizgen.web").joinpath("script", "search_frame.js").read_text(encoding="utf-8")
    content = str(rjsmin.jsmin(source))
    name = f"assets/quizgen/{_MARK}.{hashlib.sha256(content.encode()).hexdigest()[:8]}.js"
    files.append(File.generated(config, name, content=content))
    listed = config.extra.get("polyfills") or []
    config.extra["polyfills"] = [*(one for one in listed if _MARK not in str(one)), name]


def copy_index(site: Path) -> None:
    """Put the search index beside itself as a script, as the theme reads it from a folder."""
    index = site / "search" / "search_index.json"
    if index.is_file():
        text = index.read_text(encoding="utf-8")
        index.with_suffix(".js").write_text(f"var __index = {text}", encoding="utf-8")
