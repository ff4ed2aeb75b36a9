"""Misheard words: "no sign of routes" -> roots. A form that has a sense of its own is read as the trade word only where

1. it stands where a noun of the trade would ("a why on", "heavy salt in", "no sign of routes"), and
2. the trade is being spoken of close by, or the words before it want just such a thing.

Forms that the lexicon lists are looked up. Words that nobody listed are compared by their sound with the trade's own
(`sounds.py`), alone and with their neighbours ("display join"), only where such a word is wanted; where no one answer
is much the likeliest they stay as they are, and a query asks.

A sound word is never mended: where a known phrase already covers the words, that phrase stands.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from extractor.language.passage import THING_KINDS, Passage
from extractor.language.sounds import Candidate, Phrase, SoundIndex, sound_of
from extractor.lexicon.forms import forms_of, naming_forms_of
from extractor.lexicon.load import Lexicon
from extractor.reading import Tag, by_place

FUNCTION_WORDS = ("filler", "copula", "inside", "article", "pronoun", "someone", "modal", "list", "at", "to", "from")
NEVER_MENDED = ("everyday", *FUNCTION_WORDS)
SOUNDED = ("condition", "component", "material")
STATES = ("sound", "live", "dry", "full", "flowing", "capped", "disused")  # said as adjectives, of something named
LONGEST_PHRASE = 3  # words
SHORTEST_SOUND = 3  # sounds; shorter words are like too many others
SHORTEST_WORD = 3  # letters
LEAST_ALIKE = 0.85  # below this a word is left as it is, and asked about where it makes no sense
LESS_WHERE_UNSURE = 0.06
ASKED_ALIKE = 0.6  # what sounds so alike is offered as an answer
UNSURE = 0.5  # a recogniser's probability of a word
CLEARLY = 0.05  # how much likelier the best reading must be than the next
WIDER_IS_BETTER = 0.02  # for each word that a reading explains
NEAR = 8  # words within which other trade words must stand
_ANCHORS = ("structure", "fixture", "component", "condition", "material", "action", "extent", "negation", "direction")


def sound_index(lexicon: Lexicon) -> SoundIndex:
    """The trade's nouns and adjectives by their sound."""

    def phrases() -> Iterable[Phrase]:
        found: dict[tuple[str, str], Phrase] = {}
        for entry in lexicon.of_kind(*SOUNDED):
            forms = [(entry.on, words) for words in forms_of(entry, LONGEST_PHRASE)]
            for on, words in (*forms, *naming_forms_of(entry)):
                if len(words) <= LONGEST_PHRASE and sum(len(sound_of(word)) for word in words) >= SHORTEST_SOUND:
                    phrase = " ".join(words)
                    found.setdefault((phrase, entry.id), (phrase, entry.kind, entry.id, on, entry.extent))
        return found.values()

    return SoundIndex(phrases)


def mend(passage: Passage, sounds: SoundIndex) -> Passage:
    """The passage with each misheard tag either taken (its `heard` kept, `certain` set) or dropped."""
    sound = [tag for tag in passage.tags if tag.heard is None]
    known = replace(passage, tags=tuple(sound))
    covered: dict[int, int] = {}
    for tag in sound:
        if tag.kind in THING_KINDS or tag.kind in ("material", "action"):
            for token in range(tag.start, tag.end):
                covered[token] = max(covered.get(token, 0), tag.end - tag.start)
    taken: list[Tag] = []
    replaced: set[int] = set()
    for tag in passage.tags:
        if tag.heard is None:
            continue
        length = tag.end - tag.start
        if any(covered.get(token, 0) >= length for token in range(tag.start, tag.end)):
            continue
        if any(known.measure_over(token) for token in range(tag.start, tag.end)):
            continue
        if all(known.is_class(token, *NEVER_MENDED) for token in range(tag.start, tag.end)):
            continue
        evidence = _evidence(known, tag)
        if evidence >= 3 or (length > 1 and _no_other_sense(known, tag)):
            taken.append(replace(tag, certain=True))
            replaced.update(range(tag.start, tag.end))
    kept = [
        tag for tag in sound if not (tag.kind in THING_KINDS and any(t in replaced for t in range(tag.start, tag.end)))
    ]
    tags = tuple(sorted([*kept, *_best(taken)], key=by_place))
    listed = replace(passage, tags=tags)
    by_sound = list(_by_sound(listed, sounds))
    if not by_sound:
        return listed
    replaced = {token for tag in by_sound for token in range(tag.start, tag.end)}
    kept = [
        tag
        for tag in tags
        if tag.kind not in THING_KINDS or not any(token in replaced for token in range(tag.start, tag.end))
    ]
    tags = tuple(sorted([*kept, *by_sound], key=by_place))
    return replace(passage, tags=tags)


def _by_sound(passage: Passage, sounds: SoundIndex) -> Iterator[Tag]:
    """Words nobody listed that sound like a trade phrase where one is wanted, and like no other as much."""
    small, copulas = passage.classes["of_any_class"], passage.classes["copula"]
    known = bytearray(len(passage))
    for tag in passage.tags_from(0, len(passage), *THING_KINDS, "material", "action"):
        known[tag.start : tag.end] = b"\1" * (tag.end - tag.start)
    for measure in passage.measures:
        known[measure.start : measure.end] = b"\1" * (measure.end - measure.start)
    end_of_last = 0
    for token, word in enumerate(passage.speech.words):
        if word in small:
            if word not in copulas or not _no_noun(passage, token):
                continue
        elif known[token] or token < end_of_last or len(word) < SHORTEST_WORD or not word.isalpha():
            continue
        best = max(_readings(passage, sounds, small, token), key=lambda reading: reading[0], default=None)
        if best is not None:
            yield best[1]
            end_of_last = best[1].end


def _no_noun(passage: Passage, token: int) -> bool:
    """ "a been at 7.9": a word that is never a noun, where the article wants one."""
    return passage.is_class(token - 1, "indefinite") and _told_at(passage, token + 1)


def _readings(passage: Passage, sounds: SoundIndex, small: frozenset[str], token: int) -> Iterator[tuple[float, Tag]]:
    """(likeness, tag) of each window round the word that can be read in one way."""
    words = passage.speech.words
    for start, end in ((token, token + 1), (token, token + 2), (token - 1, token + 1)):
        if start < 0 or end > len(passage) or any(passage.measure_over(at) for at in range(start, end)):
            continue
        if end - start > 1 and (words[start] in small or words[end - 1] in small):
            continue
        swallowed = passage.tags_from(start, end, *THING_KINDS)
        if any(tag.end > end or tag.end - tag.start == end - start for tag in swallowed):
            continue
        if not _thing_wanted(passage, start, end):
            continue
        heard = " ".join(words[start:end])
        nearest = [each for each in sounds.nearest(heard, ASKED_ALIKE) if each.id not in STATES]
        if not nearest or nearest[0].likeness < _least(passage, start, end) or not _clear(nearest):
            continue
        best = nearest[0]
        if best.phrase.startswith(heard) or heard.startswith(best.phrase):
            continue  # another form of the word ("scratch", "scratched"): it was heard as it was said
        if swallowed and not any(tag.id in best.phrase or tag.id == best.id for tag in swallowed):
            continue
        tag = Tag(start, end, best.kind, best.id, best.extent, best.on, heard, True)
        yield best.likeness + WIDER_IS_BETTER * (end - start), tag


def _thing_wanted(passage: Passage, start: int, end: int) -> bool:
    """Whether only a noun of something seen can stand here: behind "a", a degree, a denial or a report, and placed."""
    before = start - 1
    opened = (
        passage.is_class(before, "indefinite")
        or passage.covering(before, "extent") is not None
        or passage.covering(before, "negation") is not None
        or _there_is(passage, before)
        or _behind_a_distance(passage, before, Tag(start, end, "condition", ""))
    )
    if not opened:
        return False
    closed = (
        end >= len(passage)
        or passage.speech.breaks[end]
        or _told_at(passage, end)
        or (passage.is_class(end, "inside", "from") and passage.word(end) not in ("at", "of"))
        or passage.is_class(end, "list")
        or passage.measure_over(end) is not None
        or passage.cue_at(end, "boundary") is not None
    )
    return closed and _trade_close_by(passage, start, end)


def _told_at(passage: Passage, token: int) -> bool:
    """ "at 7.9": a distance told with "at"."""
    return passage.is_class(token, "at") and (
        passage.measure_over(token) is not None or passage.measure_over(token + 1) is not None
    )


def _trade_close_by(passage: Passage, start: int, end: int) -> bool:
    """A distance or a thing of the trade within a few words, on either side."""
    first, last = max(0, start - NEAR), end + NEAR
    if passage.measures_from(first, last):
        return True
    return any(not start <= tag.start < end for tag in passage.tags_from(first, last, *THING_KINDS))


def _clear(nearest: list[Candidate]) -> bool:
    """Whether no other thing sounds nearly as like; a phrase within the likelier (joint, open joint) is no rival."""
    best = nearest[0]
    return all(
        best.likeness - other.likeness >= CLEARLY or other.phrase in best.phrase or best.phrase in other.phrase
        for other in nearest[1:]
    )


def _least(passage: Passage, start: int, end: int) -> float:
    """How alike a reading must be; less where the recogniser itself was unsure, or where the word can be no noun."""
    speech = passage.speech
    probabilities = [speech.narration.words[speech.word_of[token]].probability for token in range(start, end)]
    unsure = any(probability is not None and probability < UNSURE for probability in probabilities)
    if unsure or (end - start == 1 and passage.is_class(start, "copula")):
        return LEAST_ALIKE - LESS_WHERE_UNSURE
    return LEAST_ALIKE


def _no_other_sense(passage: Passage, tag: Tag) -> bool:
    """Words that make no other sense together ("air routes", "earthen wear"): content words, none a known thing."""
    return (
        tag.kind in THING_KINDS
        and not any(passage.is_class(token, *FUNCTION_WORDS) for token in (tag.start, tag.end - 1))
        and all(thing.id == tag.id for thing in passage.things_from(tag.start, tag.end))
        and _trade_close_by(passage, tag.start, tag.end)
    )


def _best(taken: list[Tag]) -> list[Tag]:
    """One reading a span: the same misheard words may be listed under two entries; the first one listed stands."""
    spans: dict[tuple[int, int], Tag] = {}
    for tag in taken:
        spans.setdefault((tag.start, tag.end), tag)
    return list(spans.values())


def _evidence(passage: Passage, tag: Tag) -> int:
    """0: no noun stands here; else 1 for the frame before, 1 for the frame behind, 1 for a trade word close by."""
    before = tag.start - 1
    wanted_before = (
        passage.is_class(before, "article")
        or passage.covering(before, "extent") is not None
        or passage.covering(before, "negation") is not None
        or _behind_a_distance(passage, before, tag)
        or passage.covering(before, "material") is not None
        or passage.word(before) in ("of", "with")
        or (passage.is_class(before, "list") and _denied_list(passage, before))
        or _there_is(passage, before)
        or _told_at(passage, tag.end)
        or (passage.is_class(tag.end, "filler") and _told_at(passage, tag.end + 1))
    )
    if not wanted_before:
        return 0
    after = tag.end
    wanted_behind = (
        after >= len(passage)
        or passage.speech.breaks[after]
        or passage.is_class(after, "inside", "copula", "list", "at", "from")
        or passage.measure_over(after) is not None
        or passage.covering(after, "boundary") is not None
        or passage.covering(after, "report") is not None
        or passage.cue_at(after, "stretch") is not None
        or bool(passage.tags_from(after, after + 1, *_ANCHORS))
        or passage.word(after).endswith("ing")
        or (tag.end - tag.start > 1 and passage.is_class(after, "article"))
    )
    close = any(
        other.kind in _ANCHORS and (other.start, other.end) != (tag.start, tag.end)
        for other in passage.tags_from(max(0, tag.start - NEAR), tag.end + NEAR)
    ) or bool(passage.measures_from(max(0, tag.start - NEAR), tag.end + NEAR))
    return 1 + wanted_behind + close


def _behind_a_distance(passage: Passage, token: int, tag: Tag) -> bool:
    """ "1.1 salt light": a thing told right behind the counter's reading."""
    measure = passage.measure_over(token)
    return (
        measure is not None
        and measure.spoken_unit in (None, "metre", "foot")
        and measure.unit in (None, "m")
        and tag.kind != "structure"
    )


def _denied_list(passage: Passage, token: int) -> bool:
    """Whether the list word stands in a list that is denied or of trade things: "no cracks or routes"."""
    return bool(passage.tags_from(max(0, token - 4), token, "negation", *THING_KINDS))


def _there_is(passage: Passage, token: int) -> bool:
    """ "there is", "we got", "I can see": a report that wants a thing."""
    tag = passage.covering(token, "speech_act")
    return tag is not None and tag.id == "report" and tag.end == token + 1 and tag.end - tag.start >= 2
