"""Groups of people: what marked papers say about questions. People are codes here; no names, no keys to the records."""
