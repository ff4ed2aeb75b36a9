"""One decision, one line: what is written is read again, half a line is known as such, and nothing kept is lost."""

import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.errors import DecisionError, JobError
from extractor.job.decision_log import HOLDER, DecisionLog, latest, person
from extractor.job.decisions import Decision, Deed, RowName, line_of, parse_log, read_line, read_log
from extractor.job.folder import Job, open_job
from extractor.job.merge_logs import merge_logs
from tests.review.made_visit import made_job

DEED = Deed(kind="settle", answer="it changes")


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return made_job(tmp_path / "job")


def decision(id: str = "0" * 16, **fields: object) -> Decision:
    return Decision(**{"kind": "settle", "id": id, "when": "2026-05-04T10:00:00.000Z", "who": "Zoë", **fields})


@given(
    who=st.text(max_size=30),
    answer=st.text(max_size=60),
    value=st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-(10**6), 10**6),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(max_size=9),
    ),
)
def test_what_is_written_is_read_again_whatever_the_words(who: str, answer: str, value: object) -> None:
    written = decision(who=who, kind="change", answer=answer, sets={"detail": value})
    line = line_of(written)
    assert line.count(b"\n") == 1
    read = read_line(line)
    assert line_of(read) == line
    if not any("\ud800" <= mark <= "\udfff" for mark in f"{who}{answer}{value}"):
        assert read == written


@pytest.mark.parametrize("cut", [1, 2, 20, -2, -5])
def test_a_line_that_was_cut_is_no_decision(cut: int) -> None:
    with pytest.raises(ValueError):
        read_line(line_of(decision())[:cut])


@pytest.mark.parametrize(("old", "new"), [("Zoë", "Zoé"), ("settle", "reject"), ('"schema":1', '"schema":1,"extra":2')])
def test_a_line_that_was_altered_is_no_decision(old: str, new: str) -> None:
    line = line_of(decision()).decode()
    assert old in line
    with pytest.raises(ValueError):
        read_line(line.replace(old, new).encode())


def test_a_field_of_a_later_program_is_kept_and_its_check_agrees() -> None:
    line = line_of(decision(mood="sunny"))
    assert line_of(read_line(line)) == line


def test_a_log_of_a_newer_schema_is_refused_with_what_to_do(job: Job) -> None:
    job.decisions.write_bytes(line_of(decision(schema=2)))
    with pytest.raises(JobError, match=r"newer rodnote \(schema 2"):
        read_log(job.decisions)


def test_each_decision_is_on_disk_when_take_returns(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        for number in range(1, 4):
            taken = log.take(DEED)
            assert len(read_log(job.decisions).decisions) == number
            assert read_log(job.decisions).decisions[-1] == taken


def test_taking_syncs_the_file_before_it_returns(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[int] = []
    real = os.fsync
    with DecisionLog(job, "Zoë") as log:
        monkeypatch.setattr(os, "fsync", lambda handle: (synced.append(os.fstat(handle).st_size), real(handle)))
        log.take(DEED)
        assert synced[-1] == job.decisions.stat().st_size > 0


def test_the_log_only_grows(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(DEED)
        before = job.decisions.read_bytes()
        taken = log.take(DEED)
        log.take(Deed(kind="undo", target=taken.id))
    assert job.decisions.read_bytes().startswith(before)
    with DecisionLog(job, "Ann"):
        assert job.decisions.read_bytes().startswith(before)


@pytest.mark.parametrize("tail", [b'{"schema":1,"id":"00', b"\x00" * 512, b"\xff\xfe", b"nonsense"])
def test_a_torn_last_line_is_put_aside_and_told_and_the_rest_stands(job: Job, tail: bytes) -> None:
    with DecisionLog(job, "Zoë") as log:
        first, second = log.take(DEED), log.take(DEED)
    with job.decisions.open("ab") as file:
        file.write(tail)
    with DecisionLog(job, "Zoë") as log:
        assert log.decisions == (first, second)
        (report,) = log.reports
        assert "unfinished" in report
        (aside,) = job.folder.glob("decisions.torn-*")
        assert aside.read_bytes() == tail
        third = log.take(DEED)
    assert read_log(job.decisions).decisions == (first, second, third)
    assert not read_log(job.decisions).damages


def test_a_torn_line_is_reported_but_left_where_it_is_while_only_reading(job: Job) -> None:
    job.decisions.write_bytes(line_of(decision()) + b'{"sche')
    before = job.decisions.read_bytes()
    text = read_log(job.decisions)
    assert [damage.torn for damage in text.damages] == [True]
    assert job.decisions.read_bytes() == before


def test_a_last_line_that_lacks_only_its_line_feed_counts(job: Job) -> None:
    """The kernel may have kept all of a line but its last byte; its reviewer may have seen it as kept."""
    job.decisions.write_bytes(line_of(decision())[:-1])
    with DecisionLog(job, "Zoë") as log:
        assert [each.id for each in log.decisions] == ["0" * 16]
        log.take(DEED)
    assert len(read_log(job.decisions).decisions) == 2


def test_a_log_cut_anywhere_keeps_every_whole_line(job: Job) -> None:
    lines = [line_of(decision(id=f"{number:016x}", answer="é" * number)) for number in range(4)]
    data = b"".join(lines)
    ends = [len(b"".join(lines[: number + 1])) for number in range(4)]
    for cut in range(len(data) + 1):
        text = parse_log(data[:cut])
        whole = sum(end - 1 <= cut for end in ends)  # a line is whole without its line feed
        assert len(text.decisions) == whole, cut
        assert len(text.damages) == (cut not in (0, *ends, *(end - 1 for end in ends))), cut


def test_a_damaged_line_in_the_middle_is_told_and_left_and_the_others_count(job: Job) -> None:
    job.decisions.write_bytes(line_of(decision("a" * 16)) + b"{spoilt}\n" + line_of(decision("b" * 16)))
    with DecisionLog(job, "Zoë") as log:
        assert [each.id[0] for each in log.decisions] == ["a", "b"]
        assert "Line 2" in log.reports[0]
    assert b"{spoilt}" in job.decisions.read_bytes()


def test_a_full_disk_keeps_the_log_as_it_was_and_says_so(job: Job) -> None:
    """The limit on the size of a file stands in for a full disk: the write stops half way."""
    with DecisionLog(job, "Zoë") as log:
        log.take(DEED)
        size = job.decisions.stat().st_size
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + 20, hard))
        try:
            with pytest.raises(DecisionError, match="was not kept"):
                log.take(DEED)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        assert job.decisions.stat().st_size == size
        assert len(log.decisions) == 1
        log.take(DEED)
    assert len(read_log(job.decisions).decisions) == 2


def test_a_second_reviewer_is_told_who_has_the_job_open(job: Job) -> None:
    with DecisionLog(job, "Zoë Ågren"):
        with pytest.raises(JobError, match=r"open for review by Zoë Ågren, since \d\d:\d\d"):
            DecisionLog(job, "Ann")
        code = (
            "import sys; from pathlib import Path; from extractor.job.folder import open_job;"
            "from extractor.job.decision_log import DecisionLog; DecisionLog(open_job(Path(sys.argv[1])), 'Ann')"
        )
        done = subprocess.run([sys.executable, "-c", code, str(job.folder)], capture_output=True, text=True)
        assert "open for review by Zoë Ågren" in done.stderr
    assert not (job.folder / HOLDER).exists()
    DecisionLog(job, "Ann").close()


@pytest.mark.parametrize("name", ["decisions.jsonl", ".review.lock"])
def test_a_link_that_leads_out_of_the_job_is_refused(job: Job, tmp_path: Path, name: str) -> None:
    outside = tmp_path / "outside"
    outside.write_bytes(b"")
    (job.folder / name).symlink_to(outside)
    with pytest.raises(JobError, match="is a link"):
        DecisionLog(job, "Zoë")
    assert outside.read_bytes() == b""


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  Zoë  Ågren ", "Zoë Ågren"),
        ("検査 員", "検査 員"),
        ("a\x1b[31mb\nc", "a [31mb c"),
        ("\u202eevil", "evil"),
        ("x" * 200, "x" * 80),
    ],
)
def test_names_are_kept_without_marks_that_steer_a_terminal(typed: str, kept: str) -> None:
    assert person(typed) == kept


@pytest.mark.parametrize("typed", ["", "  ", "\x00\u202e"])
def test_a_decision_needs_a_name(typed: str) -> None:
    with pytest.raises(DecisionError, match="needs the name"):
        person(typed)


def test_each_entry_names_what_its_reviewer_had_seen(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        first, second = log.take(DEED), log.take(DEED)
    assert (first.seen, second.seen) == ((), (first.id,))
    assert latest((first, second)) == (second.id,)


def two_logs(tmp_path: Path) -> tuple[Job, Job]:
    """One job and its copy, each with decisions that the other has not."""
    one = made_job(tmp_path / "one")
    with DecisionLog(one, "Zoë") as log:
        log.take(DEED)
    two = made_job(tmp_path / "two")
    two.decisions.write_bytes(one.decisions.read_bytes())
    for job, who, count in ((one, "Zoë", 2), (two, "Ann", 3)):
        with DecisionLog(job, who) as log:
            for _ in range(count):
                log.take(DEED)
    return one, two


def test_merging_keeps_every_decision_of_both_once(tmp_path: Path) -> None:
    one, two = two_logs(tmp_path)
    wanted = {each.id for job in (one, two) for each in read_log(job.decisions).decisions}
    before = one.decisions.read_bytes()
    with DecisionLog(one, "Zoë") as log:
        merged = merge_logs(log, two.folder)
        assert (len(merged.new), merged.known, merged.unread) == (3, 1, ())
        assert len(latest(log.decisions)) == 2
        after = log.take(DEED)
        assert set(after.seen) == {parse_log(data).decisions[-1].id for data in (before, two.decisions.read_bytes())}
        again = merge_logs(log, two.decisions)
        assert (again.new, again.known) == ((), 4)
    text = read_log(one.decisions)
    assert {each.id for each in text.decisions} == wanted | {after.id}
    assert len(text.decisions) == len(wanted) + 1
    assert one.decisions.read_bytes().startswith(before)


def test_merging_a_log_that_says_something_else_under_a_known_id_changes_nothing(tmp_path: Path) -> None:
    one, two = two_logs(tmp_path)
    first = read_log(two.decisions).decisions[0]
    two.decisions.write_bytes(line_of(first.model_copy(update={"answer": "altered"})) + line_of(decision("c" * 16)))
    before = one.decisions.read_bytes()
    with DecisionLog(one, "Zoë") as log, pytest.raises(DecisionError, match="says something else"):
        merge_logs(log, two.folder)
    assert one.decisions.read_bytes() == before


def test_merging_tells_the_lines_that_can_not_be_read(tmp_path: Path) -> None:
    one, two = two_logs(tmp_path)
    with two.decisions.open("ab") as file:
        file.write(b'{"half')
    with DecisionLog(one, "Zoë") as log:
        assert merge_logs(log, two.folder).unread == (5,)


HOSTILE: list[Callable[[], bytes]] = [
    lambda: b"[" * 100_000,
    lambda: b'{"a":' * 5_000 + b"1" + b"}" * 5_000,
    lambda: b"null",
    lambda: json.dumps({"schema": "one", "check": "x"}).encode(),
    lambda: b"9" * 5_000,
]


@pytest.mark.parametrize("line", HOSTILE)
def test_hostile_lines_are_damage_and_never_a_crash(job: Job, line: Callable[[], bytes]) -> None:
    job.decisions.write_bytes(line() + b"\n" + line_of(decision()))
    text = read_log(job.decisions)
    assert (len(text.decisions), len(text.damages)) == (1, 1)


def test_a_job_with_decisions_opens_as_before(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(Deed(kind="reject", row=RowName(kind="observation")))
    assert open_job(job.folder).record == job.record
