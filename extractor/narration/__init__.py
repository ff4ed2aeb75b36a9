"""Readers: a file as received -> Narration. `choose.read_narration` is the only one the rest of the program calls."""

from extractor.narration.choose import read_bytes, read_narration

__all__ = ["read_bytes", "read_narration"]
