"""Ways to change how a narration is written down or spoken round its facts; none may change the record.

Each takes the statements of a narration and a `Pick`, and gives the narration. Numbers and what stands beside them are
left whole, except by `digits_or_words` and where a block ends in them.
"""

import re
import tomllib
from collections.abc import Callable, Sequence

from num2words import num2words

from extractor.reading import Narration
from tests.understanding.made_visits import Pick
from tests.understanding.spoken import CASES, narration_in_blocks, narration_of

TABLE = tomllib.loads((CASES / "remarks.toml").read_text("utf-8"))
Change = Callable[[Sequence[str], Pick], Narration]

_NUMBERS = {word for number in range(100) for word in str(num2words(number)).split("-")}
_BESIDE_NUMBERS = set(
    (
        "point oh nought and a half quarter metre metres meter meters feet foot inch inches mil percent o'clock "
        "at about around just under or so from to between through no sorry make that correction of"
    ).split()
)
_DECIMAL = re.compile(r"\b(\d+)\.(\d+)\b")
_WHOLE = re.compile(r"\b(\d+)(?= (?:metres?|feet|foot)\b)")


def _of_a_number(word: str) -> bool:
    return word[0].isdigit() or word in _NUMBERS or word in _BESIDE_NUMBERS


def _loose(words: Sequence[str]) -> list[int]:
    """Places between two words of which neither belongs to a quantity."""
    return [at for at in range(1, len(words)) if not _of_a_number(words[at - 1]) and not _of_a_number(words[at])]


def blocks_moved(parts: Sequence[str], pick: Pick) -> Narration:
    """The same words in blocks of any length; one may end in the middle of a number."""
    words = " ".join(parts).split()
    blocks, at = [], 0
    while at < len(words):
        size = pick((2, 3, 5, 8, 13, 21))
        blocks.append(" ".join(words[at : at + size]))
        at += size
    return narration_in_blocks(blocks)


def fillers_put_in(parts: Sequence[str], pick: Pick) -> Narration:
    """A hesitation in front of every fifth word or so."""
    words = " ".join(parts).split()
    chosen = {at for at in _loose(words) if pick((True, False, False, False, False))}
    return narration_of(
        " ".join(f"{pick(TABLE['fillers'])} {word}" if at in chosen else word for at, word in enumerate(words))
    )


def case_changed(parts: Sequence[str], pick: Pick) -> Narration:
    return narration_of(pick((str.upper, str.title, str.capitalize))(" ".join(parts)))


def punctuated(parts: Sequence[str], pick: Pick) -> Narration:
    """Each statement a sentence."""
    return narration_of(" ".join(f"{part[0].upper()}{part[1:]}{pick(('.', '.', ','))}" for part in parts))


def marks_that_lie(parts: Sequence[str], pick: Pick) -> Narration:
    """Stops and commas where a recogniser happens to put them."""
    words = " ".join(parts).split()
    chosen = {at - 1 for at in _loose(words) if pick((True, False, False, False, False, False))}
    return narration_of(
        " ".join(word + pick((".", ",", "?", "...")) if at in chosen else word for at, word in enumerate(words))
    )


def digits_or_words(parts: Sequence[str], pick: Pick) -> Narration:
    """Every number in digits told in words: "4.18" as "four point one eight", "12 metres" as "twelve metres"."""
    text = _DECIMAL.sub(lambda found: f"{_in_words(found[1])} point {' '.join(map(_digit, found[2]))}", " ".join(parts))
    return narration_of(_WHOLE.sub(lambda found: _in_words(found[1]), text))


def _in_words(number: str) -> str:
    return str(num2words(int(number))).replace("-", " ")


def _digit(digit: str) -> str:
    return "oh" if digit == "0" else str(num2words(int(digit)))


def american_spelling(parts: Sequence[str], pick: Pick) -> Narration:
    text = " ".join(parts)
    for british, american in TABLE["spelling"]:
        text = re.sub(rf"\b{british}\b", american, text)
    return narration_of(text)


def remarks_put_in(parts: Sequence[str], pick: Pick) -> Narration:
    """One remark between two statements, now and then."""
    out = [parts[0]]
    for part in parts[1:]:
        if pick((True, False, False)):
            out.append(pick(TABLE["remarks"]))
        out.append(part)
    return narration_of(" ".join(out))


CHANGES: tuple[Change, ...] = (
    blocks_moved,
    fillers_put_in,
    case_changed,
    punctuated,
    marks_that_lie,
    digits_or_words,
    american_spelling,
    remarks_put_in,
)
