"""The word that was likely meant, for an error that tells what to do."""

from collections.abc import Sequence

ALIKE = 60  # of 100; below this a likeness is chance


def nearest(word: str, known: Sequence[str]) -> str:
    """ "Did you mean 'gully'?", or nothing where no known word is near."""
    from rapidfuzz import process  # only on the way to an error

    found = process.extractOne(word, known, score_cutoff=ALIKE)
    return f"Did you mean {found[0]!r}?" if found else ""
