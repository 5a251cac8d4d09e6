"""The only room that knows mkdocs: plugin, fences and generated pages."""
