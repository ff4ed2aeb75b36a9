"""A redacted copy: whatever is private is nowhere in it, and the survey still stands."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.archive.blanks import Blanks, spoken_digits
from extractor.archive.redact import redact_job
from extractor.errors import JobError
from extractor.job.folder import Job, create_job, open_job
from extractor.lexicon.load import Lexicon
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract

VTT = b"""WEBVTT

NOTE typed up by Dorrit

00:01.000 --> 00:08.000
<v Dorrit>morning this is mrs Fenwick's place at fourteen quay

00:08.000 --> 00:15.000
lane her number's oh four one two double three nine eight seven six

00:15.000 --> 00:25.000
camera going in the inlet of the septic tank heading upstream one point two junction on the left

00:25.000 --> 00:35.000
three point six heavy roots in the joint says dorrit by mrs fenwick's path write to a.fenwick@example.org
"""
VISIT = """client = "Mrs A. Fenwick"
address = "14 Quay Lane, Sandmouth"
technician = "Dorrit Pell"
contact = "0412 339 876"
firm = "Pell and Sons Drain Camera"
date = 2026-03-12
still_lag_s = 1.5
"""
PRIVATE = ["fenwick", "dorrit", "quay", "sandmouth", "pell", "0412", "example.org", "double three"]


@pytest.fixture
def job(tmp_path: Path, lexicon: Lexicon) -> Job:
    made = create_job(
        tmp_path / "job", [("14 quay lane.vtt", VTT)], extract(read_bytes(VTT, "14 quay lane.vtt"), lexicon)
    )
    (made.folder / "visit.toml").write_text(VISIT, encoding="utf-8")
    (made.folder / "private.txt").write_text("fourteen quay lane\n", encoding="utf-8")
    (made.folder / "reports").mkdir(exist_ok=True)
    (made.folder / "reports" / "report.html").write_text("Mrs Fenwick", encoding="utf-8")
    (made.folder / "decisions.jsonl").write_text("", encoding="utf-8")
    return made


def test_nothing_private_is_left_in_any_file_or_name(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    redact_job(job, tmp_path / "copy", lexicon)
    for path in (tmp_path / "copy").rglob("*"):
        text = str(path.relative_to(tmp_path)) + (path.read_text(encoding="utf-8") if path.is_file() else "")
        assert not [word for word in PRIVATE if word in text.lower()], path


def test_the_survey_stands_as_it_was(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    copy = open_job(redact_job(job, tmp_path / "copy", lexicon).job.folder)
    assert len(copy.record.observations) == len(job.record.observations)
    for row, shared in zip(job.record.observations, copy.record.observations, strict=True):
        left_out = {"quote"}
        assert shared.model_dump(exclude=left_out) == row.model_dump(exclude=left_out)
    assert copy.record.runs == job.record.runs
    assert len(copy.record.sources[0].text) == len(job.record.sources[0].text)


def test_every_quote_is_still_in_the_words(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    record = redact_job(job, tmp_path / "copy", lexicon).job.record
    for row in (*record.observations, *record.measurements, *record.queries):
        assert row.quote in record.sources[0].text


def test_the_words_keep_their_times(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    copy = redact_job(job, tmp_path / "copy", lexicon).job
    shared = read_bytes(copy.narration_bytes(0), "narration-1.json").words
    told = read_bytes(VTT, "a.vtt").words
    assert [(word.first_char, word.start_s) for word in shared] == [(word.first_char, word.start_s) for word in told]


def test_of_the_visit_only_what_names_nobody_is_kept(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    redact_job(job, tmp_path / "copy", lexicon)
    assert (tmp_path / "copy" / "visit.toml").read_text(encoding="utf-8").splitlines()[1:] == [
        "date = 2026-03-12",
        "still_lag_s = 1.5",
    ]


def test_the_job_itself_is_not_touched(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    before = {path: path.read_bytes() for path in job.folder.rglob("*") if path.is_file()}
    redact_job(job, tmp_path / "copy", lexicon)
    assert {path: path.read_bytes() for path in job.folder.rglob("*") if path.is_file()} == before


def test_a_folder_that_holds_something_is_refused(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    with pytest.raises(JobError, match="holds something already"):
        redact_job(job, job.folder, lexicon)


@pytest.mark.parametrize("text", ["client = ", "\ufeffclient = 1 2", 'a = "\x00"'])
def test_a_broken_visit_toml_is_told(text: str, job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    (job.folder / "visit.toml").write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match="no valid TOML"):
        redact_job(job, tmp_path / "copy", lexicon)
    assert not (tmp_path / "copy").exists()


@pytest.mark.parametrize(
    ("text", "blanked"),
    [
        ("call oh four one two three four five six", "call xx xxxx xxx xxx xxxxx xxxx xxxx xxx"),
        ("call 0412 345 678 later", "call xxxx xxx xxx later"),
        ("call +61 412-345-678", "call +xx xxx-xxx-xxx"),
        ("at three point six and four point two", "at three point six and four point two"),
        ("one two three testing", "one two three testing"),
        ("a 1200 by 900 chamber", "a 1200 by 900 chamber"),
        ("ask Mrs Fenwick's son", "ask xxx xxxxxxx'x son"),
        ("mail a.b@example.org now", "mail x.x@xxxxxxx.xxx now"),
    ],
)
def test_what_is_blanked_and_what_is_not(text: str, blanked: str, lexicon: Lexicon) -> None:
    assert Blanks(["mrs fenwick"], spoken_digits(lexicon)).text(text) == blanked


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200), st.lists(st.text(max_size=20), max_size=4))
def test_blanking_moves_nothing(text: str, phrases: list[str]) -> None:
    blanked = Blanks(phrases, frozenset({"one"})).text(text)
    assert len(blanked) == len(text)
    assert [mark.isspace() for mark in blanked] == [mark.isspace() for mark in text]


def test_a_record_of_other_words_is_refused(job: Job, tmp_path: Path, lexicon: Lexicon) -> None:
    path = job.folder / "record.json"
    fields = json.loads(path.read_text(encoding="utf-8"))
    fields["sources"][0]["text"] = "other words"
    path.write_text(json.dumps(fields), encoding="utf-8")
    with pytest.raises(JobError, match="not of these words"):
        redact_job(open_job(job.folder), tmp_path / "copy", lexicon)
