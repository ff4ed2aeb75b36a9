"""Entries of the lexicon found by typing part of a spoken form, slips of the finger and mishearings included."""

from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, process

from extractor.lexicon.entry import Entry
from extractor.lexicon.load import Lexicon

LEAST_LIKENESS = 65  # of 100; below this a find is chance
PARTLY = 0.85  # a likeness of parts counts less than one of the whole
MISHEARD_COST = 12  # a form that people say comes before one that a recogniser writes


@dataclass(frozen=True)
class Found:
    """An entry, and the form of it that was like what was typed ("" where nothing was typed)."""

    entry: Entry
    form: str = ""


def search_lexicon(typed: str, lexicon: Lexicon, kinds: Sequence[str], limit: int = 9) -> tuple[Found, ...]:
    """The entries of these kinds that are most like what was typed, best first; all of them where nothing was typed."""
    entries = lexicon.of_kind(*kinds)
    wanted = " ".join(typed.lower().split())
    if not wanted:
        return tuple(Found(entry) for entry in sorted(entries, key=lambda entry: entry.label.casefold()))
    forms = [(form, entry, False) for entry in entries for form in (entry.label.lower(), *entry.spoken)]
    forms += [(form, entry, True) for entry in entries for form in entry.misheard]
    whole = process.cdist([wanted], [form for form, _, _ in forms], scorer=fuzz.ratio)[0]
    part = process.cdist([wanted], [form for form, _, _ in forms], scorer=fuzz.WRatio)[0]
    best: dict[tuple[str, str], tuple[float, str, Entry]] = {}
    for (form, entry, misheard), like, partly in zip(forms, whole, part, strict=True):
        score = max(float(like), PARTLY * float(partly), _beginning(wanted, form)) - (MISHEARD_COST if misheard else 0)
        key = (entry.kind, entry.id)
        if score >= LEAST_LIKENESS and (key not in best or score > best[key][0]):
            best[key] = (score, form, entry)
    ordered = sorted(best.values(), key=lambda found: (-found[0], found[2].label))
    return tuple(Found(entry, form) for _, form, entry in ordered[:limit])


def _beginning(wanted: str, form: str) -> float:
    """What is typed is mostly the beginning of a word; the shorter the form, the more of it is typed."""
    if form.startswith(wanted):
        return 96 + 4 * len(wanted) / len(form)
    if any(word.startswith(wanted) for word in form.split()):
        return 90 + 4 * len(wanted) / len(form)
    return 0
