"""A course whose calculation questions are generated and checked: bank, variants, pages, papers, records."""

__version__ = "0.1.0"
