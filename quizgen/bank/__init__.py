"""The question bank: what authors write, read and checked."""
