"""Phrases with a set in braces -> every phrase they stand for: "in {good} nick" -> "in good nick", "in great nick".

A file's sets are its table `[sets]`: a name and the words it stands for, of which "" is none.
"""

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

MOST_PHRASES = 5_000  # that one phrase may stand for
_SET = re.compile(r"\{([^{}]*)\}")
_LISTS = ("spoken", "misheard")

Sets = Mapping[str, Sequence[str]]


def spelled_out(fields: Mapping[str, Any], sets: Sets) -> dict[str, Any]:
    """The fields of an entry, its phrases spelled out.

    Raises:
        ValueError: where a phrase names no set of the file, or stands for too many phrases.
    """
    said = dict(fields)
    lists = [fields[name] for name in _LISTS if isinstance(fields.get(name), list)]
    if not all(map(_all_plain, lists)):
        listed = {phrase for phrases in lists for phrase in phrases if _is_plain(phrase)}
        for name in _LISTS:
            if name in said:
                said[name] = _each(said[name], sets, listed)
    if isinstance(said.get("naming"), dict):
        said["naming"] = {component: _each(phrases, sets, set()) for component, phrases in said["naming"].items()}
    return said


def _is_plain(phrase: Any) -> bool:
    return isinstance(phrase, str) and "{" not in phrase


def _all_plain(phrases: list[Any]) -> bool:
    """Whether there is nothing to spell out; asked of a whole list in one, since most are plain and many are long."""
    try:
        return "{" not in "".join(phrases)
    except TypeError:  # something in it is no phrase
        return False


def _each(phrases: Any, sets: Sets, listed: set[str]) -> Any:
    """The list with its patterns spelled out at its end, without what is listed as it is; what is no list of phrases
    is left to be refused."""
    if not isinstance(phrases, list) or _all_plain(phrases) or not all(isinstance(p, str) for p in phrases):
        return phrases
    plain = [phrase for phrase in phrases if _is_plain(phrase)]
    made = dict.fromkeys(said for phrase in phrases if not _is_plain(phrase) for said in _said(phrase, sets))
    known = listed.union(plain)
    return [*plain, *(said for said in made if said not in known)]


def _said(phrase: str, sets: Sets) -> Iterator[str]:
    parts = _SET.split(phrase)  # words, the name of a set, words, ...
    choices: list[Sequence[str]] = []
    count = 1
    for at, part in enumerate(parts):
        if at % 2 and part not in sets:
            raise ValueError(f"{phrase!r} names the set {part!r}, which the file does not have")
        choices.append(sets[part] if at % 2 else (part,))
        count *= len(choices[-1])
    if count > MOST_PHRASES:
        raise ValueError(f"{phrase!r} stands for {count} phrases, more than {MOST_PHRASES}")
    for chosen in itertools.product(*choices):
        yield " ".join("".join(chosen).split())
