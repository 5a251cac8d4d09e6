"""Judging one answer: the reference that the page's script must equal."""
