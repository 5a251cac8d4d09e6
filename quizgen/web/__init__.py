"""Question to HTML, payload, script and style; no mkdocs."""
