"""The shell of a document that stands alone: one HTML file that loads nothing from outside itself."""

from __future__ import annotations

from html import escape


def document(title: str, body: str, style: str, more: str = "") -> str:
    """The whole file. title: plain text; body: HTML; style: CSS; more: what else its policy allows, ending in "; "."""
    policy = f"default-src 'none'; style-src 'unsafe-inline'; {more}base-uri 'none'; form-action 'none'"
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        f"<title>{escape(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )
