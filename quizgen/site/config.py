"""Options of the plugin in mkdocs.yml."""

from __future__ import annotations

from mkdocs.config import base
from mkdocs.config import config_options as c


class QuizgenConfig(base.Config):
    """`plugins: - quizgen: …`"""

    course = c.Optional(c.Type(str))
    """Folder that holds bank/, relative to mkdocs.yml; by default the one beside the pages."""
    reference = c.Type(str, default="reference")
    """Folder of the generated reference pages, among the pages."""
    aside = c.Type(str, default="")
    """Folder of pages, like trainer, that the navigation leaves out. They are built all the same."""
