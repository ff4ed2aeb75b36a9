"""How words sound: a rough spelling of the sound, a key of its consonants, and how alike two sounds are.

    "routs", "roots" -> ruts      "display join" -> displeyJyn, near displasdJynt

After the idea of the published phonetic keys (Soundex, 1918; Metaphone, Philips, 1990): spelling rules of English make
letters into sounds, and sounds that recognisers take for each other (t and d, s and z) share a class. Our rules keep
vowels too, since the words of the trade are short; the key leaves them out.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from heapq import nlargest

from rapidfuzz.distance import JaroWinkler, Levenshtein

# Spelling -> sound, tried in this order over the whole word; first the letters that a word must have for it to match
# (one of those parted by a space; "" for any word), since looking for letters costs far less than an expression.
# C: ch, J: j, S: sh, N: ng; vowels: a e i o u, E: ee, O: or, Y: eye
_RULES = [
    (tuple(letters.split()) or ("",), re.compile(pattern), sound)
    for letters, pattern, sound in (
        ("", r"[^a-z]", ""),
        ("n", r"^(kn|gn|pn)", "n"),
        ("wr", r"^wr", "r"),
        ("wh", r"^wh", "w"),
        ("ps", r"^ps", "s"),
        ("x", r"^x", "s"),
        ("mb", r"mb$", "m"),
        ("ught", r"(ough|augh)t", "Ot"),
        ("ough", r"ough$", "uf"),
        ("igh", r"igh", "Y"),
        ("eigh", r"eigh", "ey"),
        ("air ear are", r"air|ear(?!l)|are$", "er"),
        ("tch", r"tch", "C"),
        ("sch", r"sch", "sk"),
        ("ch", r"ch", "C"),
        ("sh ti si ci", r"sh|ti(?=on|al)|ssi(?=on)|ci(?=an|al)|si(?=on)", "S"),
        ("ture", r"ture", "Ca"),
        ("th", r"th", "f"),
        ("ph gh", r"ph|gh$", "f"),
        ("ck q", r"ck|qu?e$", "k"),
        ("qu", r"qu", "kw"),
        ("dg", r"dge?", "J"),
        ("g", r"g(?=[eiy])", "J"),
        ("c", r"c(?=[eiy])", "s"),
        ("c q", r"c|q", "k"),
        ("x", r"x", "ks"),
        ("j", r"j", "J"),
        ("z", r"z", "s"),
        ("ng", r"ng", "N"),
        ("e", r"i([bdfgklmnpstv])e(?=s?$)", r"Y\1"),  # a silent e makes the vowel long
        ("e", r"a([bdfgklmnpstv])e(?=s?$)", r"ey\1"),
        ("e", r"([eou])([bdfgklmnpstv])e(?=s?$)", r"\1\1\2"),
        ("ed", r"([td])ed$", r"\1id"),
        ("ed", r"ed$", "d"),
        ("y", r"ey$|(?<=[^ao])y$", "E"),
        ("ee ea ie ei ii", r"ee|ea|ie|ei|ii", "E"),
        ("oo ou ue ew ui uu", r"oo|ou|ue|ew|ui|uu", "u"),
        ("ai ay ey aa", r"ai|ay|ey|aa", "ey"),
        ("oa ow oo", r"oa|ow|oo", "o"),
        ("oi oy", r"oi|oy", "y"),
        ("au aw al", r"au|aw|al(?=k)|all$", "O"),
        ("r", r"(?<=.)re$|(er|or|ar|ur|ir)(?![aeiouyEOY])", "a"),
        ("e", r"e$", ""),
        ("h", r"h", ""),
        ("", r"(.)\1+", r"\1"),
    )
]
_CLASSES = str.maketrans(
    {"b": "p", "d": "t", "g": "k", "v": "f", "S": "s", "J": "s", "C": "s", "N": "n", "w": "", "y": ""}
    | dict.fromkeys("aeiouEOY", "")
)
_OUTLINE = str.maketrans(
    {"b": "p", "d": "t", "g": "k", "v": "f", "S": "s", "J": "s", "C": "s", "N": "n"} | dict.fromkeys("aeiouEOYy", "a")
)
_VOWELS = frozenset("aeiouyEOY")
_NEAR = {
    frozenset(pair)
    for pair in ("bp", "dt", "gk", "vf", "SJ", "CJ", "SC", "sS", "Nn", "mn", "rw", "tk", "dk", "Ct", "sf")
}
_NEAR_VOWELS = {frozenset(pair) for pair in ("ie", "iE", "eE", "ea", "ou", "oO", "uo", "ey", "iy", "au", "Yi", "aO")}
NEAR_COST = 0.35
NEAR_VOWEL_COST = 0.4
VOWEL_COST = 0.7
LOST_END_COST = 0.4  # a t, d or s lost or grown at the end of a word
LOST_VOWEL_COST = 0.6
SPELLING_SHARE = 0.2
DUST = 1e-9  # of binary fractions
COMPARED = 16  # phrases that are compared sound by sound


@lru_cache(maxsize=16384)
def sound_of(phrase: str) -> str:
    """The sound of a word or a phrase, its words run together: "wipes" -> wYps."""
    return "".join(_sound_of_word(word) for word in phrase.split())


def key_of(sound: str) -> str:
    """The consonants in classes, doubled ones once: "jynt" -> snt."""
    key = ""
    for consonant in sound.translate(_CLASSES):
        if not key.endswith(consonant):
            key += consonant
    return key


def _key_of_phrase(phrase: str) -> str:
    """`key_of` the phrase's sound, put together from the keys of its words: phrases are many, their words few."""
    key = ""
    for word in phrase.split():
        more = _key_of_word(word)
        key += more[1:] if key and key[-1:] == more[:1] else more
    return key


@lru_cache(maxsize=16384)
def _key_of_word(word: str) -> str:
    return key_of(_sound_of_word(word))


@lru_cache(maxsize=16384)
def outline_of(sound: str) -> str:
    """The sound with near sounds made one, its vowels too: what is compared first, since it is quick."""
    return sound.translate(_OUTLINE)


def alike(heard: str, meant: str, least: float = 0.0) -> float:
    """How alike two phrases are, 0 to 1: by sound first, by spelling a little. What is less than `least` is told as
    some likeness below it, which is quicker to tell.
    """
    first, second = sound_of(heard), sound_of(meant)
    longest = max(len(first), len(second), 1)
    by_spelling = SPELLING_SHARE * JaroWinkler.similarity(heard, meant)
    furthest = longest * (1 - (least - by_spelling) / (1 - SPELLING_SHARE)) + DUST
    by_sound = 1 - min(1.0, _distance(first, second, furthest) / longest)
    return (1 - SPELLING_SHARE) * by_sound + by_spelling


@lru_cache(maxsize=16384)
def _sound_of_word(word: str) -> str:
    for letters, pattern, sound in _RULES:
        for some in letters:
            if some in word:
                word = pattern.sub(sound, word)
                break
    return word


def _distance(first: str, second: str, furthest: float) -> float:
    """The least cost of changing one sound into the other (Levenshtein, 1966, with costs by how near sounds are).

    Where it is more than `furthest`, some cost that is more too: what a row has at least, the next has at least.
    """
    gains = _losses(second)
    row = [0.0]
    for gain in gains:
        row.append(row[-1] + gain)
    for sound, loss in zip(first, _losses(first), strict=True):
        before, cost = row, row[0] + loss
        row = [cost]
        changed = before[0]
        for other, over, gain in zip(second, before[1:], gains, strict=True):
            # the least of: the sound changed into the other, left out, or the other put in; no `min`, which is slower
            cost += gain
            if over + loss < cost:
                cost = over + loss
            if sound == other:
                cost = min(changed, cost)
            elif (change := changed + _change(sound, other)) < cost:
                cost = change
            row.append(cost)
            changed = over
        if min(row) > furthest:
            break
    return row[-1]


def _losses(sounds: str) -> list[float]:
    """What it costs to leave each sound out."""
    costs = [LOST_VOWEL_COST if sound in _VOWELS else 1.0 for sound in sounds]
    if sounds and sounds[-1] in "tds":
        costs[-1] = LOST_END_COST
    return costs


@cache
def _change(sound: str, other: str) -> float:
    if sound == other:
        return 0.0
    pair = frozenset((sound, other))
    if sound in _VOWELS and other in _VOWELS:
        return NEAR_VOWEL_COST if pair in _NEAR_VOWELS else VOWEL_COST
    return NEAR_COST if pair in _NEAR else 1.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A trade phrase that may have been meant: its entry's kind and id, and how alike it sounds, 0 to 1."""

    phrase: str
    kind: str
    id: str
    likeness: float
    on: str | None = None
    extent: str | None = None


Phrase = tuple[str, str, str, str | None, str | None]  # words, kind, id, the component it sits on, extent


class SoundIndex:
    """Trade phrases by the key of their sound; near is a key that is the same with a consonant less in one or both."""

    def __init__(self, phrases: Callable[[], Iterable[Phrase]]) -> None:
        """`phrases` is called when the first sound is looked up: most narrations need none."""
        self._phrases = phrases

    @cached_property
    def _by_key(self) -> dict[str, list[tuple[int, Phrase]]]:
        table: dict[str, list[tuple[int, Phrase]]] = defaultdict(list)
        for numbered in enumerate(self._phrases()):
            table[_key_of_phrase(numbered[1][0])].append(numbered)
        return dict(table)

    @cached_property
    def _consonants(self) -> str:
        return "".join(sorted({consonant for key in self._by_key for consonant in key}))

    def _near(self, key: str) -> dict[Phrase, None]:
        """The phrases whose keys are near, those with the very key or one more consonant first."""
        near: dict[Phrase, None] = {}
        for each in (key, *_shorter(key)):
            keys = {each}
            if each:
                places = range(len(each) + 1)
                keys.update(each[:at] + more + each[at:] for at in places for more in self._consonants)
            numbered = sorted(one for known in self._by_key.keys() & keys for one in self._by_key[known])
            near.update((phrase, None) for _, phrase in numbered)
        return near

    def nearest(self, heard: str, least: float) -> list[Candidate]:
        """The best phrase of each entry that is at least so alike, best first."""
        sound = sound_of(heard)
        key, outline = key_of(sound), outline_of(sound)
        likely = nlargest(
            COMPARED,
            self._near(key),
            key=lambda phrase: Levenshtein.normalized_similarity(outline, outline_of(sound_of(phrase[0]))),
        )
        best: dict[tuple[str, str], Candidate] = {}
        for phrase, kind, id, on, extent in likely:
            likeness = alike(heard, phrase, least)
            known = best.get((kind, id))
            if likeness >= least and (known is None or likeness > known.likeness):
                best[kind, id] = Candidate(phrase, kind, id, likeness, on, extent)
        return sorted(best.values(), key=lambda candidate: (-candidate.likeness, candidate.id))


def _shorter(key: str) -> Iterator[str]:
    """The key with one consonant left out, never empty."""
    if len(key) > 1:
        for at in range(len(key)):
            yield key[:at] + key[at + 1 :]
