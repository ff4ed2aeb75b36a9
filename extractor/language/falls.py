"""Falls: "one in sixty", "1 in 60", "1:60" (ratio), "eight mil per metre", "a quarter inch to the foot" (mm/m)."""

from extractor.language.lengths import unit_at
from extractor.language.number_stream import Draft, Stream
from extractor.language.number_words import ORDINAL, cardinal

STEEP, FLAT = 10, 1000  # 1 in 10 to 1 in 1000 are falls
SURE_FROM = 20  # steeper than this, "one in ten" may be an odds, unless a fall was spoken of
NEAR = 6  # words within which a fall was spoken of


def fall_spoken_of(stream: Stream, i: int) -> bool:
    return any(stream.is_word(at, "fall_cue") for at in range(max(0, i - NEAR), min(len(stream), i + NEAR)))


def one_in(stream: Stream, i: int) -> Draft | None:
    """ "one in eighty" that starts at i, or None."""
    word = stream.word(i)
    if word[:2] == "1:" and word[2:].isdigit():
        value = int(word[2:])
        if STEEP <= value <= FLAT and (value >= 60 or fall_spoken_of(stream, i)):
            return Draft(i, i + 1, value, value, None, "ratio", kind="ratio")
        return None
    if not (stream.grammar.ones.get(word) == 1 or word == "1"):
        return None
    spoken_of = fall_spoken_of(stream, i)
    if not (stream.is_word(i + 1, "ratio_in") or (spoken_of and stream.is_word(i + 1, "ratio_at"))):
        return None
    if not spoken_of and stream.is_word(i + 1, "and"):
        return None
    found = cardinal(stream, i + 2)
    if found is None and spoken_of and (ordinal := ORDINAL.match(stream.word(i + 2))):
        # "one in sixty, first joint" written as "1 in 61st"
        value = int(ordinal[1]) // 10 * 10
        if value >= STEEP:
            return Draft(i, i + 3, value, value, None, "ratio", kind="ratio", notes=["misheard"])
    if found is None or not (STEEP if spoken_of else SURE_FROM) <= found[0] <= FLAT:
        return None
    unit = unit_at(stream, found[1])
    if unit and unit[0].of == "m":
        return None
    if stream.is_word(found[1], "point") and not spoken_of:
        return None  # "one in eighty | point three five a joint" is a fall, then a reading, once a fall was spoken of
    return Draft(i, found[1], found[0], found[0], None, "ratio", kind="ratio")


def per_length(stream: Stream, draft: Draft) -> Draft | None:
    """The fall that begins with this measure: "six millimetres to the metre"; None where no length follows it."""
    if draft.unit is None or draft.unit.of != "m" or draft.unit.factor > 0.1:
        return None
    per = stream.after(draft.end, "per")
    found = unit_at(stream, per)
    if found is None or found[0].id not in ("metre", "foot"):
        return None
    if per == draft.end and not (stream.glued[per] or stream.breaks[per]):
        return None
    if len(stream.word(per)) == 1 and per > draft.end and not stream.word(per).isalpha():
        return None
    value = draft.low * draft.unit.factor * 1000 / found[0].factor
    unit = draft.unit
    fall = Draft(
        draft.start, found[1], value, value, None, "fall per length", kind="mm/m", approximate=draft.approximate
    )
    fall.notes.append(f"{unit.id}_per_{found[0].id}")
    return fall
