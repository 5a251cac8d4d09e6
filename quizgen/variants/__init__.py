"""From a question to checked variants: draw, solve step by step, check, compile to plain data."""
