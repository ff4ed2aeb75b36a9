"""Misheard words: read as a trade word where sound and context agree, kept visible, and a sound word never touched."""

import pytest

from tests.understanding.spoken import Case, cases, params, reading_of, record_of

CASES = cases("mended")


@pytest.mark.parametrize("case", params(CASES))
def test_what_was_broken_is_mended_and_nothing_else(case: Case) -> None:
    reading = reading_of(case["say"])
    mended = [tag for tag in reading.mended.tags if tag.heard is not None and tag.kind in ("condition", "component")]
    assert [f"{' '.join(reading.speech.words[tag.start : tag.end])}: {tag.id}" for tag in mended] == case["mended"]


@pytest.mark.parametrize("case", params([case for case in CASES if not case.get("todo")]))
def test_the_record_shows_what_was_heard(case: Case) -> None:
    record = record_of(case["say"])
    heard = [mending.heard for mending in record.mendings]
    assert all(told.split(": ")[0] in heard for told in case["mended"])
    assert all(mending.heard in case["say"] for mending in record.mendings)
