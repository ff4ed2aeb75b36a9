"""What is a condition only of a certain component: "the joint at 5.2 is open", "pump's dead", "the tee has rotted
clean off", "I lifted the float and it's stuck".

The lexicon's entries of kind predicate say which words, of which component (`on`, `naming`), make which condition.
Said of its component they win over what the words alone would mean ("snapped off" of a pipe is a break, of a baffle a
missing part).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extractor.language.passage import Passage
from extractor.lexicon.forms import tokens_of
from extractor.lexicon.load import Lexicon
from extractor.reading import Tag, by_place

ANY = "any"  # stands for every component but the pipe itself
REACH = 9  # words from the component to what is said of it
ONE_BACK = 40  # words from the component to "another open one"
POINTS_BACK = 14  # words from the component to the pronoun that stands for it


@dataclass(frozen=True)
class Predicates:
    """Words -> component -> condition; and of all of them the components, and the words that they begin with."""

    conditions: Mapping[tuple[str, ...], Mapping[str, str]]
    components: frozenset[str]
    longest: Mapping[str, int]  # by the first word, the words of the longest


def predicates(lexicon: Lexicon) -> Predicates:
    """The lexicon's predicates, ready to be looked up."""
    table: dict[tuple[str, ...], dict[str, str]] = {}
    longest: dict[str, int] = {}
    for entry in lexicon.of_kind("predicate"):
        said = {**entry.naming, **({entry.on: entry.spoken} if entry.on is not None else {})}
        for component, phrases in said.items():
            for phrase in phrases:
                words = tokens_of(phrase)
                table.setdefault(words, {})[component] = entry.id
                longest[words[0]] = max(longest.get(words[0], 0), len(words))
    return Predicates(
        table,
        frozenset(component for each in table.values() for component in each),
        longest,
    )


def add_predicates(passage: Passage, table: Predicates) -> Passage:
    """The passage with a condition tag over each such predicate of its component."""
    found: dict[int, Tag] = {}
    covered: set[int] = set()
    for component, end in _subjects(passage, table.components):
        tag = _said_of(passage, table, component, end)
        if tag is not None and covered.isdisjoint(range(tag.start, tag.end)):
            found[tag.start] = tag
            covered.update(range(tag.start, tag.end))
    for tag in _told_of_one(passage, table):
        if covered.isdisjoint(range(tag.start, tag.end)):
            found[tag.start] = tag
            covered.update(range(tag.start, tag.end))
    if not found:
        return passage
    hidden = {
        id(tag)
        for new in found.values()
        for tag in passage.tags_from(new.start - 2, new.end, "condition", "extent")
        if new.start < tag.end <= new.end
    }
    kept = [tag for tag in passage.tags if id(tag) not in hidden]
    return replace(passage, tags=tuple(sorted((*kept, *found.values()), key=by_place)))


def _subjects(passage: Passage, components: frozenset[str]) -> Iterator[tuple[str, int]]:
    """(component, end of its mention): named, or by a pronoun a few words on."""
    tags = passage.tags_from(0, len(passage), "component")
    for at, tag in enumerate(tags):
        if tag.id not in components and (ANY not in components or tag.id == "pipe"):
            continue
        yield tag.id, tag.end
        until = min(tag.end + POINTS_BACK, tags[at + 1].start if at + 1 < len(tags) else len(passage))
        turns = (cue.start for cue in passage.tags_from(tag.end, until, "boundary") if cue.id == "next")
        until = next(turns, until)
        numbers = passage.tokens_of(tag.end - 1, until - 1, (), ("number",))
        for token in sorted({*passage.tokens_of(tag.end, until, ("stands_for_it",)), *(at + 1 for at in numbers)}):
            verb = token + 1
            while passage.is_class(verb, "at") or (verb > token + 1 and passage.measure_over(verb)):
                verb += 1  # "the second one at one point six has dropped"
            if passage.is_class(verb, "copula", "will_word"):
                yield tag.id, verb


def _told_of_one(passage: Passage, table: Predicates) -> Iterator[Tag]:
    """ "the joint's open at 2.2 ... there's another | open | one at 3.4": of the component that "one" stands for."""
    for token in passage.tokens_of(0, len(passage), (), ("one", "ones")):
        for start in (token - 1, token - 2):
            if not passage.is_class(start - 1, "article", "one_more") or passage.word(start - 1) == "the":
                continue
            told = passage.tags_from(start - ONE_BACK, start, "component", "condition")
            named = [on for t in told if (on := t.id if t.kind == "component" else t.on) not in (None, "pipe")]
            match = _match(passage, table, start, named[-1]) if named else None
            if match is not None and match[1] == token and not passage.tags_from(start, token, "condition"):
                yield Tag(start, token + 1, "condition", match[0], on=named[-1])
                break


def _said_of(passage: Passage, table: Predicates, component: str, start: int) -> Tag | None:
    """The first predicate behind the mention, with nothing told between."""
    reach = min(len(passage), start + REACH)
    turns = [cue.start for cue in passage.tags_from(start, reach, "boundary") if cue.id in ("next", "against")]
    reach = min([reach, *turns, *passage.tokens_of(start, reach, ("list",))])
    told = (tag.start for tag in passage.things_from(start, reach) if not passage.is_class(tag.start, "copula"))
    for token in range(start, min(reach, next(told, reach) + 1)):
        word = passage.word(token)
        if token > start and passage.word(token - 1) == "would":
            return None  # "put a coupling in and that would be good"
        if word in ("me", "us"):
            return None  # "a new baffle for that trap and that's me | away"
        if token > start and passage.is_class(token - 1, "article"):
            return None  # "the pipe's good there's a | tight bend"
        match = None
        if word in table.longest and _linked(passage, start, token):
            match = _match(passage, table, token, component)
        if match is not None:
            condition, end = match
            over = passage.tags_from(token, end, "condition")
            if all(tag.end <= end for tag in over) and not _of_what_follows(passage, token, start, end):
                return Tag(token, end, "condition", condition, on=component)
    return None


def _linked(passage: Passage, start: int, token: int) -> bool:
    """Whether a copula stands between, or nothing but a distance."""
    between = range(start, token)
    return any(passage.is_class(t, "copula") for t in between) or all(
        passage.measure_over(t) is not None or passage.is_class(t, "at") or passage.covering(t, "extent")
        for t in between
    )


def _of_what_follows(passage: Passage, token: int, start: int, end: int) -> bool:
    """ "has got fine roots in it", "one outlet lovely blue brick", "too tight": no verdict on the component."""
    if passage.word(token - 1) in ("too", "not", "so") or (end - token == 1 and passage.things_from(end, end + 1)):
        return True
    copula = any(passage.is_class(t, "copula") for t in range(start, token))
    if copula or end - token > 1 or end >= len(passage):
        return False
    told_on = passage.measure_over(end) is not None or passage.cue_at(end, "boundary") is not None
    return not (told_on or passage.speech.breaks[end] or passage.is_class(end, "list", "article", "at", "from"))


def _match(passage: Passage, table: Predicates, token: int, component: str) -> tuple[str, int] | None:
    """(condition, end) of the longest predicate at the token, words like "clean" and "right" left out of it or not."""
    most = table.longest.get(passage.word(token), 0)
    spoken = range(token, min(token + most, len(passage)))
    if passage.has_class(token + 1, spoken.stop, "wholly"):
        kept: list[int] = []
        for at in range(token, len(passage)):
            if len(kept) == most:
                break
            if not kept or not passage.is_class(at, "wholly"):
                kept.append(at)
        best = _longest(passage, table, kept, component)
        if best is not None:
            return best
    return _longest(passage, table, spoken, component)


def _longest(passage: Passage, table: Predicates, spoken: Sequence[int], component: str) -> tuple[str, int] | None:
    words: tuple[str, ...] = ()
    best: tuple[str, int] | None = None
    for at in spoken:
        words = (*words, passage.word(at))
        said = table.conditions.get(words)
        if said is None:
            continue
        condition = said.get(component) or (said.get(ANY) if component != "pipe" else None)
        if condition is not None:
            best = condition, at + 1
    return best
