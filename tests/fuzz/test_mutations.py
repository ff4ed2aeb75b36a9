"""A small budget of the fuzzing that `scripts/fuzz` does at length: only our own errors, soon, whatever the bytes."""

import random
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from extractor.errors import RodnoteError
from extractor.narration import read_bytes

from .mutations import PIECES, mutated
from .targets import TARGETS, Target

INPUTS = {"lexicon": 12, "job": 60}
USUAL = 150
LONGEST_S = 20  # no measure of speed: something that hangs would hang for ever


@contextmanager
def not_for_ever() -> Iterator[None]:
    def stop(number: int, frame: FrameType | None) -> None:
        raise TimeoutError(f"still at it after {LONGEST_S} s")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(LONGEST_S)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_mutated_files_give_our_own_errors_or_sound_results(target: Target) -> None:
    chance = random.Random(f"{target.name} 1")
    seeds = target.seeds()
    borne = refused = 0
    for _ in range(INPUTS.get(target.name, USUAL)):
        data = mutated(seeds, chance)
        with not_for_ever():
            try:
                target.run(data, chance)
                borne += 1
            except RodnoteError as error:
                assert error.what
                refused += 1
    assert borne, "nothing was read: the mutations are too rough to test anything"


@pytest.mark.parametrize("target", [each for each in TARGETS if each.name not in INPUTS], ids=lambda each: each.name)
def test_any_bytes_give_our_own_errors_or_sound_results(target: Target) -> None:
    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.binary(max_size=300) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
    def bears(data: bytes) -> None:
        try:
            target.run(data, random.Random(1))
        except RodnoteError as error:
            assert error.what

    bears()


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_every_seed_itself_is_borne(target: Target) -> None:
    for seed in target.seeds()[:5]:
        try:
            target.run(seed, random.Random(1))
        except RodnoteError:
            assert target.name == "narration"  # some fixtures are there to be refused


ENDLESS = 150_000  # bytes of one line: with time that grows by the square it would take minutes
ROUND = [
    (b"", b""),
    (b"[0:00] ", b" end"),
    (b"1\n00:00:01,000 --> ", b" x\ndry\n"),
    (b"1\n", b" --> 00:00:02,000\ndry\n"),
    (b"1\n0", b"0:00:01.000 --> 00:00:03.000\ndry\n"),
    (b"1\n0", b" 1 --> 00:00:03.000\ndry\n"),
    (b"WEBVTT\n\n00:01.000 --> 00:02.000 ", b"\ndry\n"),
    (b"WEBVTT\n\n00:01.000 --> 00:02.000\n<v ", b">dry\n"),
    (b"WEBVTT\n\n00:01.000 --> 00:02.000\n<c.", b" dry\n"),
    (b'{"segments": [{"start": 0, "end": 1, "text": "', b'"}]}'),
]


@pytest.mark.parametrize("number", range(len(ROUND)))
def test_no_expression_runs_away_on_a_line_without_end(number: int) -> None:
    before, after = ROUND[number]
    for piece in (*PIECES, b"0", b"a", b":", b".", b"0:", b"0.", b"&a", b"<", b"--", b"[0:", b"1 "):
        data = before + piece * (ENDLESS // len(piece)) + after
        with not_for_ever():
            try:
                read_bytes(data, "visit")
            except RodnoteError as error:
                assert error.what
