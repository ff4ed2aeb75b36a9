"""A word answered twice the same way is offered for the user's own lexicon, in a form that can be read and undone."""

from pathlib import Path

import pytest

from extractor.errors import LexiconError
from extractor.job.answers import answer_deed, undo_deed
from extractor.job.apply import apply_decisions, reviewed_record
from extractor.job.decision_log import DecisionLog
from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.review.teaching import find_entry, fresh_lessons, lessons, teach, unteach
from tests.review.made_visit import made_job


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


def answered(folder: Path, *answers: dict[str, str] | None) -> DecisionLog:
    """The two unclear words of the made visit, answered by setting these fields."""
    job = made_job(folder)
    with DecisionLog(job, "Zoë") as log:
        for id, sets in zip(("Q7", "Q8"), answers, strict=False):
            reviewed = reviewed_record(job)
            query = next(each for each in reviewed.record.queries if each.id == id)
            log.take(answer_deed(query, reviewed, sets))
    return log


def test_a_word_answered_twice_the_same_way_is_offered(tmp_path: Path, lexicon: Lexicon) -> None:
    log = answered(tmp_path / "job", {"condition": "settled_deposit"}, {"condition": "settled_deposit"})
    (lesson,) = fresh_lessons(apply_decisions(made_job(tmp_path / "job").record, log.decisions), lexicon)
    assert (lesson.heard, lesson.entry.id, lesson.times) == ("sultan", "settled_deposit", 2)


def test_leaving_the_row_as_it_was_read_is_an_answer_too(tmp_path: Path, lexicon: Lexicon) -> None:
    log = answered(tmp_path / "job", {}, {"condition": "settled_deposit"})
    assert [lesson.times for lesson in lessons(log.decisions, lexicon)] == [2]


@pytest.mark.parametrize(
    "answers",
    [
        ({"condition": "settled_deposit"},),
        ({"condition": "settled_deposit"}, {"condition": "grease"}),
        ({"condition": "settled_deposit"}, None),
    ],
    ids=["once", "differently", "rejected"],
)
def test_what_was_answered_once_or_differently_is_not_offered(
    tmp_path: Path, lexicon: Lexicon, answers: tuple[dict[str, str] | None, ...]
) -> None:
    assert not lessons(answered(tmp_path / "job", *answers).decisions, lexicon)


def test_two_jobs_that_each_answered_it_once_are_enough(tmp_path: Path, lexicon: Lexicon) -> None:
    logs = [answered(tmp_path / name, {"condition": "settled_deposit"}) for name in ("one", "two")]
    assert [lesson.heard for lesson in lessons([each for log in logs for each in log.decisions], lexicon)] == ["sultan"]


def test_an_answer_that_was_undone_does_not_teach(tmp_path: Path, lexicon: Lexicon) -> None:
    log = answered(tmp_path / "job", {"condition": "settled_deposit"}, {"condition": "settled_deposit"})
    job = made_job(tmp_path / "job")
    with DecisionLog(job, "Zoë") as again:
        again.take(undo_deed(log.decisions[-1].id))
    assert not fresh_lessons(reviewed_record(job), lexicon)


def test_what_is_taught_is_read_by_the_lexicon_and_can_be_taken_back(tmp_path: Path, lexicon: Lexicon) -> None:
    folder, entry = tmp_path / "mine", find_entry("settled_deposit", lexicon)
    path = teach(folder, "Sultan", entry, why='"sultan" was answered\nas silt')
    teach(folder, "silken", entry)
    assert path.read_text(encoding="utf-8").splitlines()[2:] == [
        "",
        "[[entry]]",
        '# rodnote lexicon add: "sultan" was answered as silt',
        'id = "settled_deposit"',
        f'label = "{entry.label}"',
        'misheard = ["sultan", "silken"]',
    ]
    grown = load_lexicon(folder).entry("condition", "settled_deposit")
    assert grown is not None and {"sultan", "silken"} <= set(grown.misheard)
    unteach(folder, "silken", entry)
    left = load_lexicon(folder).entry("condition", "settled_deposit")
    assert left is not None and "silken" not in left.misheard and "sultan" in left.misheard
    unteach(folder, "sultan", entry)
    assert not path.exists()


def test_what_is_taught_is_no_longer_offered(tmp_path: Path, lexicon: Lexicon) -> None:
    log = answered(tmp_path / "job", {"condition": "settled_deposit"}, {"condition": "settled_deposit"})
    teach(tmp_path / "mine", "sultan", find_entry("settled_deposit", lexicon))
    assert not lessons(log.decisions, load_lexicon(tmp_path / "mine"))


def test_words_go_into_the_users_own_entry_and_his_comments_stay(tmp_path: Path, lexicon: Lexicon) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    own = '# mine\nkind = "condition"\n\n[[entry]]\nid = "settled_deposit" # mud\nlabel = "mud"\nspoken = ["mudpie"]\n'
    (folder / "conditions.toml").write_text(own, encoding="utf-8")
    teach(folder, "sultan", find_entry("settled_deposit", lexicon))
    text = (folder / "conditions.toml").read_text(encoding="utf-8")
    assert text.startswith(own) and 'misheard = ["sultan"]' in text
    assert [path.name for path in folder.iterdir()] == ["conditions.toml"]


@pytest.mark.parametrize("words", ["", "   "])
def test_what_breaks_the_lexicons_rules_leaves_the_folder_as_it_was(
    tmp_path: Path, lexicon: Lexicon, words: str
) -> None:
    folder, entry = tmp_path / "mine", find_entry("settled_deposit", lexicon)
    path = teach(folder, "sultan", entry)
    before = path.read_bytes()
    with pytest.raises(LexiconError):
        teach(folder, words, entry)
    assert path.read_bytes() == before


def test_things_are_found_by_id_and_several_are_told_apart(lexicon: Lexicon) -> None:
    assert find_entry("condition/crack", lexicon).id == "crack"
    with pytest.raises(LexiconError, match="is no thing of the lexicon"):
        find_entry("crackle", lexicon)
    with pytest.raises(LexiconError, match="is not among the words"):
        unteach(Path("nowhere"), "x", find_entry("crack", lexicon))
