"""The ground floor: text to tree to units, numbers, MathML and browser program. Imports nothing of ours."""
