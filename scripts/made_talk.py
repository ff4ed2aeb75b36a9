"""Talk of our own making, at any length, for the benchmark and for filling a folder with recordings.

    made_talk(minutes=10, seed=1)  ->  "[0:00] right lid is off the septic tank [0:05] camera going in the inlet ..."

It runs at 140 words a minute, in the order of a visit: lids, runs with rising readings, findings, denials, corrections,
doubt, work done, chat, a summing up. It is for measuring speed: no words of it are held against a result.
"""

import random
from collections.abc import Iterator

WORDS_A_MINUTE = 140

PLACES = ["septic tank", "distribution box", "pump well", "grease trap", "inspection opening", "manhole", "gully"]
ENDS = ["the toilet", "the shower floor waste", "the main", "the laundry tub", "the end of the line", "the pump well"]
THINGS = ["junction on the left", "bend", "joint", "junction on the right", "inspection opening", "taper"]
TROUBLES = [
    "heavy roots in the joint",
    "a crack at twelve o'clock",
    "light scale from nine to three",
    "a step in the joint minor",
    "holding water about a third of the pipe",
    "grease on the walls moderate",
    "a bit of silt in the bottom",
    "a displaced joint about {size} mil",
    "wipes hung up on the joint",
    "infiltration dripping in at three o'clock",
]
FINE = ["that's okay", "looks fine", "all good there", "that's sound", "clear past that"]
DENIALS = ["no sign of roots", "no cracks and no displaced joints to here", "dry the whole way so far", "no grease"]
DOUBTS = ["might be a crack i'm not sure", "could be a broken pipe hard to tell", "possibly roots behind the joint"]
WORK = [
    "jetter's in now went up about {reach} metres and the roots are gone",
    "rodded it from here and it let go after {size} minutes",
    "hooked that out by hand so that's cleared",
    "flushed the toilet twice and it ran through",
]
CHAT = [
    "hang on the hose is caught again",
    "yeah mate i'll be there in a minute",
    "um it's a bit steamy the lens wants a wipe",
    "roots love that clay pipe always have",
    "i'll jet that later when the truck is round this side",
]
UNITS = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen".split()
TEENS = [*UNITS, "seventeen", "eighteen", "nineteen"]
TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def made_talk(minutes: float, seed: int = 0) -> str:
    """Marked text of that many minutes; the same seed gives the same text."""
    wanted = round(minutes * WORDS_A_MINUTE)
    marked, words = [], 0
    for phrase in _phrases(random.Random(seed)):
        at = words * 60 // WORDS_A_MINUTE
        marked.append(f"[{at // 60}:{at % 60:02d}] {phrase}")
        words += len(phrase.split())
        if words >= wanted:
            return "\n".join(marked) + "\n"
    raise AssertionError("the talk has no end")


def _phrases(chance: random.Random) -> Iterator[str]:
    yield "right first one for the day"
    while True:
        yield from _run(chance)


def _run(chance: random.Random) -> Iterator[str]:
    place = chance.choice(PLACES)
    port = f"the {chance.choice(['inlet', 'outlet'])} of the {place}" if "t" in place[:3] else f"the {place}"
    yield f"lid is off the {place} sludge is about {chance.choice(['two', 'three', 'four'])} hundred mil"
    yield f"camera going in {port} heading {chance.choice(['upstream', 'downstream'])} it's hundred mil pvc"
    at = 0.0
    for _ in range(chance.randint(6, 14)):
        at += chance.uniform(0.4, 2.5)
        yield from _step(chance, at)
    yield f"{_spoken(at + 1)} and that's {chance.choice(ENDS)} so that's the end of that one"
    if chance.random() < 0.3:
        yield f"to sum up main issue was {chance.choice(['roots', 'the broken joint', 'grease'])} in that line"


def _step(chance: random.Random, at: float) -> Iterator[str]:
    said = _spoken(at) if chance.random() < 0.8 else f"{at:.1f}"
    kind = chance.random()
    if kind < 0.3:
        yield f"{said} {chance.choice(THINGS)} {chance.choice(FINE)}"
    elif kind < 0.6:
        yield f"{said} there's {_filled(chance, TROUBLES)}"
    elif kind < 0.7:
        yield f"{_spoken(at - 0.2)} bend no sorry {said} bend {chance.choice(FINE)}"
    elif kind < 0.8:
        yield f"about {said} metres {chance.choice(DOUBTS)}"
    elif kind < 0.9:
        yield f"{chance.choice(DENIALS)} {_filled(chance, WORK)}"
    else:
        yield chance.choice(CHAT)


def _filled(chance: random.Random, phrases: list[str]) -> str:
    return chance.choice(phrases).format(size=chance.randint(4, 30), reach=chance.randint(3, 25))


def _spoken(metres: float) -> str:
    """A counter reading as said: 21.4 -> "twenty one point four"."""
    whole, tenth = divmod(round(max(0.0, metres) * 10), 10)
    tens, unit = divmod(whole, 10)
    name = TEENS[whole] if whole < 20 else f"{TENS[tens]} {UNITS[unit]}" if unit else TENS[tens]
    return f"{name} point {UNITS[tenth]}"
