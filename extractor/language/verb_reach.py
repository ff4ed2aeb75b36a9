"""How far a verb reaches: the end of a statement in speech without full stops, and whether the deed was got done."""

from extractor.language.passage import Passage


def ends_statement(passage: Passage, token: int) -> bool:
    """Whether what a verb does can't reach over this token: a stop, or a word that goes on to the next statement."""
    if token >= len(passage) or passage.is_class(token, "list", "someone"):
        return True
    if passage.word(token) == "right" and passage.is_class(token + 1, "emptied_word", "away_word", "goes_in"):
        return False
    return passage.cue_at(token, "boundary", "next", "turn", "against", "because") is not None


def statement_end(passage: Passage, start: int, reach: int) -> int:
    for token in range(start, min(len(passage), start + reach)):
        if ends_statement(passage, token):
            return token
    return min(len(passage), start + reach)


def got_done(passage: Passage, verb: int) -> bool:
    """ "had her flush", "got him to run", "I've run": done, where a bare "flush the toilet" is an order; "let me run
    the bath, that's four minutes": done meanwhile.
    """
    before = passage.speech.words[max(0, verb - 7) : verb]
    return done_meanwhile(passage, verb) or any(word in passage.classes["had_done"] for word in before)


def done_meanwhile(passage: Passage, verb: int) -> bool:
    """ "let me run the bath ... that's four minutes", "... okay it's come through": a test told as it is done."""
    if any(m.unit == "min" and passage.word(m.start - 1) == "is" for m in passage.measures_from(verb, verb + 16)):
        return True
    for token in range(verb + 1, min(len(passage), verb + 14)):
        if passage.is_class(token, "turns") or passage.word(token) == "there":
            return any(passage.is_class(t, "came_through") for t in range(token + 1, token + 6))
    return False
