"""Two narrations a word or a phrase apart: what their records share, and the one thing in which they differ.

The logic of denial and its scope is that of the published algorithms for clinical text: cues before and behind the
thing, pseudo-cues, and words that end a scope (Chapman, Bridewell, Hanbury, Cooper, Buchanan: A simple algorithm for
identifying negated findings and diseases in discharge summaries, J Biomed Inform 34, 2001); doubt, earlier states and
hearsay follow its extension (Harkema, Dowling, Thornblade, Chapman: ConText, J Biomed Inform 42, 2009, with its
historical, hypothetical and experiencer values). Corrections follow the reparandum, interregnum and repair of Shriberg
(Preliminaries to a theory of speech disfluencies, 1994). The three are cited from memory. What a degree, a place or an
ending is called is common practice of the trade, no source.
"""

import re
import tomllib

import pytest

from tests.understanding.shown import wanted
from tests.understanding.spoken import CASES, Case, cases, difference, lines_of, params

FRAMES = tomllib.loads((CASES / "minimal_frames.toml").read_text("utf-8"))
PAIRS = cases("minimal_pairs", "pair")
SIDES = ("one", "other")
_BRACES = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def said(pair: Case, side: int) -> str:
    """The narration of one side, its frame round it."""
    frame = FRAMES[pair.get("frame", "metres")]
    chosen = _BRACES.sub(lambda found: found[side + 1], pair["say"])
    return " ".join(f"{frame['before']} {chosen} {frame['after']}".split())


def expected(pair: Case, side: int) -> list[str]:
    return wanted([*FRAMES[pair.get("frame", "metres")]["lines"], *pair.get("both", []), *pair.get(SIDES[side], [])])


def compared(pair: Case, lines: list[str]) -> list[str]:
    """The lines that the pair is about."""
    return [line for line in lines if not line.startswith(tuple(pair.get("leave_out", ())))]


@pytest.mark.parametrize("pair", params(PAIRS, lambda pair: f"{pair['kind']}: {pair['name']}"))
def test_the_records_of_a_pair_differ_as_stated_and_in_nothing_else(pair: Case) -> None:
    wrong = []
    for side in (0, 1):
        text = said(pair, side)
        if differs := difference(compared(pair, lines_of(text)), compared(pair, expected(pair, side))):
            wrong.append(f"{text}\n{differs}")
    assert not wrong, "\n" + "\n".join(wrong)


def test_each_pair_is_two_narrations_and_no_name_stands_twice() -> None:
    names = [(pair["kind"], pair["name"]) for pair in PAIRS]
    assert len(names) == len(set(names)) >= 120
    for pair in PAIRS:
        assert said(pair, 0) != said(pair, 1), pair["name"]
        assert _BRACES.search(pair["say"]) and not set("{|}") & set(said(pair, 0) + said(pair, 1)), pair["name"]


def test_a_table_line_in_feet_is_made_into_metres() -> None:
    """An international foot is 0.3048 m (NIST SP 811, appendix B)."""
    assert wanted(["row 1 - crack at 14.5ft..20ft~", "value 2 m depth"]) == [
        "row 1 - crack at 4.42..6.096~",
        "value 2 m depth",
    ]
