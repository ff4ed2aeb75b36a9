"""The job folder: what goes in is kept byte for byte, nothing is lost, nothing is half there."""

import hashlib
import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.errors import JobError
from extractor.job.folder import SCHEMA, create_job, open_job, record_bytes
from extractor.job.names import LONGEST_BYTES, distinct_names, safe_name
from extractor.job.writing import write_atomically
from extractor.record import Record, Source
from tests.visits import small_record

WORDS = b"\xef\xbb\xbfcamera in the inlet\r\n"


def record_of(*narrations: bytes) -> Record:
    sources = tuple(
        Source(name=f"n{number}", sha256=hashlib.sha256(data).hexdigest()) for number, data in enumerate(narrations)
    )
    return small_record().model_copy(update={"sources": sources})


def all_files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def test_a_new_job_holds_narrations_as_received_and_opens_again(tmp_path: Path) -> None:
    record = record_of(WORDS, b"second")
    create_job(tmp_path / "job", [("visit ä.srt", WORDS), ("zweite.txt", b"second")], record)
    job = open_job(tmp_path / "job")
    assert job.record == record
    assert [path.name for path in job.narrations] == ["visit ä.srt", "zweite.txt"]
    assert job.narration_bytes(0) == WORDS
    assert job.narration_bytes(1) == b"second"
    assert sorted(all_files(tmp_path / "job")) == [
        "job.json",
        "narrations/visit ä.srt",
        "narrations/zweite.txt",
        "record.json",
    ]
    assert job.reports.is_dir()
    assert not job.decisions.exists()


def test_the_card_says_schema_program_lexicon_and_digests(tmp_path: Path) -> None:
    create_job(tmp_path / "job", [("a.srt", WORDS)], record_of(WORDS))
    assert json.loads((tmp_path / "job" / "job.json").read_bytes()) == {
        "schema": SCHEMA,
        "program": "rodnote test",
        "lexicon": "1" * 64,
        "narrations": [{"name": "a.srt", "sha256": hashlib.sha256(WORDS).hexdigest()}],
    }


def test_the_same_input_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        create_job(tmp_path / name, [("a.srt", WORDS)], record_of(WORDS))
    assert all_files(tmp_path / "one") == all_files(tmp_path / "two")


def test_extracting_again_replaces_the_record_and_keeps_everything_else(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    (folder / "decisions.jsonl").write_bytes(b'{"decision": 1}\n')
    (folder / "reports" / "report.pdf").write_bytes(b"%PDF")
    newer = record_of(WORDS).model_copy(update={"observations": ()})
    create_job(folder, [("/elsewhere/renamed.srt", WORDS)], newer)
    assert open_job(folder).record.observations == ()
    files = all_files(folder)
    assert files["decisions.jsonl"] == b'{"decision": 1}\n'
    assert files["reports/report.pdf"] == b"%PDF"
    assert "narrations/a.srt" in files
    assert "narrations/renamed.srt" not in files, "the same bytes keep the name they have"


def test_a_second_recording_of_the_visit_joins_the_job(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    create_job(folder, [("a.srt", b"other words"), ("a.srt", WORDS)], record_of(b"other words", WORDS))
    job = open_job(folder)
    assert [path.name for path in job.narrations] == ["a-2.srt", "a.srt"]
    assert [job.narration_bytes(0), job.narration_bytes(1)] == [b"other words", WORDS]


def test_a_narration_of_the_job_is_never_dropped(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    before = all_files(folder)
    with pytest.raises(JobError, match=r"not given this time: a\.srt"):
        create_job(folder, [("b.srt", b"another visit")], record_of(b"another visit"))
    assert all_files(folder) == before


def test_a_folder_that_is_no_job_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "dog.jpg").write_bytes(b"dog")
    with pytest.raises(JobError, match="is no job"):
        create_job(tmp_path / "photos", [("a.srt", WORDS)], record_of(WORDS))
    assert all_files(tmp_path / "photos") == {"dog.jpg": b"dog"}


def test_an_empty_folder_may_become_a_job(tmp_path: Path) -> None:
    create_job(tmp_path, [("a.srt", WORDS)], record_of(WORDS))
    assert open_job(tmp_path).narration_bytes(0) == WORDS


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "job").write_bytes(b"mine")
    with pytest.raises(JobError, match="not a folder"):
        create_job(tmp_path / "job", [("a.srt", WORDS)], record_of(WORDS))
    assert (tmp_path / "job").read_bytes() == b"mine"


def test_a_job_needs_a_narration(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="at least one"):
        create_job(tmp_path / "job", [], small_record())
    assert not (tmp_path / "job").exists()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda folder: (folder / "job.json").unlink(), "no job folder"),
        (lambda folder: (folder / "job.json").write_bytes(b"{"), "damaged"),
        (lambda folder: (folder / "job.json").write_bytes(b"\xff\xfe\x00"), "damaged"),
        (lambda folder: (folder / "job.json").write_bytes(b"[" * 100_000), "damaged"),
        (lambda folder: (folder / "job.json").write_bytes(b'{"schema": 1}'), "damaged"),
        (lambda folder: (folder / "record.json").unlink(), "no record.json"),
        (lambda folder: (folder / "record.json").write_bytes(b"{}x"), "no record that this program reads"),
        (lambda folder: (folder / "record.json").write_bytes(b'{"runs": 3}'), "no record that this program reads"),
        (lambda folder: (folder / "record.json").write_bytes(record_bytes(record_of(b"x"))), "other narrations"),
    ],
)
def test_a_damaged_job_is_told_from_a_sound_one(tmp_path: Path, change: object, told: str) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    assert callable(change)
    change(folder)
    with pytest.raises(JobError, match=told):
        open_job(folder)


def test_a_job_of_a_newer_program_is_refused_with_the_reason(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    card = json.loads((folder / "job.json").read_bytes())
    (folder / "job.json").write_text(json.dumps({**card, "schema": SCHEMA + 1, "narrations": "in another form"}))
    for attempt in (open_job, lambda folder: create_job(folder, [("a.srt", WORDS)], record_of(WORDS))):
        with pytest.raises(JobError, match="newer rodnote"):
            attempt(folder)


def test_a_card_with_fields_unknown_here_opens(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    card = json.loads((folder / "job.json").read_bytes())
    (folder / "job.json").write_text(json.dumps({**card, "colour": "green"}))
    assert open_job(folder).record == record_of(WORDS)


def test_a_changed_narration_is_noticed(tmp_path: Path) -> None:
    job = create_job(tmp_path / "job", [("a.srt", WORDS)], record_of(WORDS))
    job.narrations[0].write_bytes(b"rewritten")
    with pytest.raises(JobError, match="not what was received"):
        job.narration_bytes(0)


def test_a_name_in_the_card_cannot_lead_out_of_the_job(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    card = json.loads((folder / "job.json").read_bytes())
    card["narrations"][0]["name"] = "../../secret.txt"
    (folder / "job.json").write_text(json.dumps(card))
    with pytest.raises(JobError, match="leads elsewhere"):
        open_job(folder)


@pytest.mark.parametrize("name", ["narrations/a.srt", "record.json"])
def test_a_link_out_of_the_job_is_not_followed_when_reading(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    outside = tmp_path / "outside"
    (folder / name).rename(outside)
    (folder / name).symlink_to(outside)
    with pytest.raises(JobError, match="leads out of the job folder"):
        open_job(folder).narration_bytes(0)


def test_a_link_in_the_place_of_narrations_is_not_written_through(tmp_path: Path) -> None:
    folder, outside = tmp_path / "job", tmp_path / "outside"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    (folder / "narrations").rename(outside)
    (folder / "narrations").symlink_to(outside)
    with pytest.raises(JobError, match="leads out of the job folder"):
        create_job(folder, [("a.srt", WORDS), ("b.srt", b"b")], record_of(WORDS, b"b"))
    assert [path.name for path in outside.iterdir()] == ["a.srt"]


def test_a_full_disk_leaves_no_new_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(JobError, match="no space left"):
        create_job(tmp_path / "job", [("a.srt", WORDS)], record_of(WORDS))
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_an_existing_job_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "job"
    create_job(folder, [("a.srt", WORDS)], record_of(WORDS))
    before = all_files(folder)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(JobError, match="no space left"):
        create_job(folder, [("a.srt", WORDS)], record_of(WORDS).model_copy(update={"observations": ()}))
    assert all_files(folder) == before


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_read_only_place_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    with pytest.raises(JobError, match="permission denied"):
        create_job(tmp_path / "job", [("a.srt", WORDS)], record_of(WORDS))


@pytest.mark.parametrize("breaks", ["fsync", "replace"])
def test_an_interrupted_write_keeps_the_old_bytes_and_leaves_no_scrap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, breaks: str
) -> None:
    path = tmp_path / "record.json"
    write_atomically(path, b"old")

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os if breaks == "fsync" else Path, breaks, interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(path, b"new")
    assert all_files(tmp_path) == {"record.json": b"old"}


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps no such rights")
def test_a_written_file_has_the_usual_rights(tmp_path: Path) -> None:
    (tmp_path / "usual").write_bytes(b"")
    write_atomically(tmp_path / "ours", b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("visit.srt", "visit.srt"),
        ("Küche – Straße 3.txt", "Küche – Straße 3.txt"),
        ("録音.vtt", "録音.vtt"),
        ("../../etc/passwd", "passwd"),
        ("C:\\jobs\\visit.srt", "visit.srt"),
        ("..", "narration.txt"),
        ("", "narration.txt"),
        (".hidden.srt", "_hidden.srt"),
        ("a\x00b\n.srt", "ab.srt"),
        ("gpj.\u202esrt", "gpj.srt"),
        ("what? 3<4.txt", "what_ 3_4.txt"),
        ("visit.srt. . ", "visit.srt"),
        # reserved device names: "Naming Files, Paths, and Namespaces", Microsoft
        ("NUL", "_NUL"),
        ("con.txt", "_con.txt"),
        ("COM1.old.srt", "_COM1.old.srt"),
        ("lpt³.txt", "_lpt³.txt"),
        ("console.txt", "console.txt"),
    ],
)
def test_a_name_is_made_safe_and_otherwise_kept(name: str, safe: str) -> None:
    assert safe_name(name) == safe


@given(st.text(max_size=400))
def test_a_safe_name_is_one_plain_part_of_a_path_and_stays_as_it_is(name: str) -> None:
    safe = safe_name(name)
    assert safe not in ("", ".", "..")
    assert Path(safe).name == safe
    assert len(safe.encode()) <= LONGEST_BYTES + 1
    assert safe_name(safe) == safe


@given(st.lists(st.sampled_from(["a.srt", "A.srt", "a-2.srt", "b", "B", "x/a.srt", ""]), max_size=8))
def test_distinct_names_differ_whatever_the_case(names: list[str]) -> None:
    out = distinct_names(names)
    assert len({name.casefold() for name in out}) == len(names)
