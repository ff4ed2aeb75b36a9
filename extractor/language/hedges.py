"""Hedges round a quantity: what makes it approximate, what says that it is exact, how far the words belong to it."""

from extractor.language.number_stream import Draft, Stream


def widen(stream: Stream, draft: Draft) -> None:
    """Take the hedges before and after into the draft, as many as stand there, and note what they say."""
    start = draft.start
    while start > stream.taken:
        before = stream.grammar["before_approximate"].start_of(stream.words, start)
        if before < start and before >= stream.taken:
            if stream.word(before) == "round" and before + 1 == start and stream.is_word(before - 1, "before_round"):
                break  # "it's gone out of round | 2.9 there's a joint"
            read = not draft.coarse and draft.unit is None and before + 2 >= start
            if not (read and stream.is_word(start - 1, "reads_off") and draft.low == draft.high):
                draft.approximate = True
        else:
            before = stream.grammar["before_exact"].start_of(stream.words, start)
            if before == start or before < stream.taken:
                break
        start = before
    draft.start = start
    end = draft.end
    while end < len(stream):
        after = stream.after(end, "after_approximate")
        if after > end and not _opens_the_next(stream, end, after):
            draft.approximate = True
        else:
            after = stream.after(end, "after_exact")
            bare = draft.unit is None and after == end + 1
            if after == end or bare or stream.is_word(after, "exact_not_before"):
                break
        end = after
    draft.end = end


def _opens_the_next(stream: Stream, start: int, end: int) -> bool:
    """ "at four roughly three metres": the hedge belongs to the number that follows it."""
    if stream.after(start, "before_approximate") != end:
        return False
    word = stream.word(end)
    grammar = stream.grammar
    return (
        word[:1].isdigit()
        or word in grammar.ones
        or word in grammar.teens
        or word in grammar.tens
        or word in grammar["article"]
    )
