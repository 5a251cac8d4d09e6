"""What is wrong with a page: one line with page and line number, for the build to stop with."""


class SiteError(Exception):
    """A page that cannot be made as its author wrote it."""


class PageError(SiteError):
    """A block or number of a page that cannot be filled."""


class OverviewError(SiteError):
    """A page or module that cannot be listed."""
