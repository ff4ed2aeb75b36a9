"""Folders of words: what a user's folder adds, and the errors that name file, line and entry."""

from pathlib import Path

import pytest

from extractor.errors import LexiconError
from extractor.lexicon.file import MOST_BYTES
from extractor.lexicon.load import load_lexicon
from extractor.lexicon.match import find_tags, phrase_table
from tests.lexicon.said import speech_of

GULLY = """kind = "structure"

[[entry]]
id = "gully"
label = "gully"
spoken = ["slop hole"]
"""

TWO = """# words of our yard
kind = "material"

[[entry]]
id = "pvc"
label = "PVC"
spoken = ["grey stuff"]

[[entry]]
id = "moon_glass"
label = "moon glass"
spoken = ["moon glass"]
"""


def folder(tmp_path: Path, **files: str | bytes) -> Path:
    for name, text in files.items():
        path = tmp_path / f"{name}.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return tmp_path


def error_of(tmp_path: Path, text: str | bytes) -> LexiconError:
    with pytest.raises(LexiconError) as caught:
        load_lexicon(folder(tmp_path, mine=text))
    return caught.value


def test_a_users_folder_adds_forms_and_keeps_the_shipped_ones(tmp_path: Path) -> None:
    gully = load_lexicon(folder(tmp_path, mine=GULLY)).entry("structure", "gully")
    assert gully is not None
    assert {"slop hole", "yard gully"} <= set(gully.spoken)


def test_what_a_user_added_is_heard(tmp_path: Path) -> None:
    table = phrase_table(load_lexicon(folder(tmp_path, mine=GULLY)))
    (tag,) = find_tags(speech_of("slop holes"), table)
    assert (tag.kind, tag.id) == ("structure", "gully")


def test_a_new_material_and_a_new_cue_can_be_added(tmp_path: Path) -> None:
    cue = 'kind = "doubt"\n[[entry]]\nid = "doubts_next"\nlabel = "doubts"\nspoken = ["me waters tell me"]\n'
    lexicon = load_lexicon(folder(tmp_path, a=TWO, b=cue))
    assert lexicon.label("moon_glass") == "moon glass"
    doubts = lexicon.entry("doubt", "doubts_next")
    assert doubts is not None
    assert "me waters tell me" in doubts.spoken


def test_a_class_of_words_stands_once_in_whatever_file(tmp_path: Path) -> None:
    words = 'kind = "{}"\n[[entry]]\nid = "gets_by"\nlabel = "gets by"\nspoken = ["gets"]\n'
    with pytest.raises(LexiconError, match="stands in"):
        load_lexicon(folder(tmp_path, a=words.format("grammar"), b=words.format("neighbour")))


def test_label_part_and_extent_can_be_changed(tmp_path: Path) -> None:
    text = 'kind = "condition"\n[[entry]]\nid = "vermin"\nlabel = "rats"\non = "wall"\nextent = "severe"\n'
    vermin = load_lexicon(folder(tmp_path, mine=text)).entry("condition", "vermin")
    assert vermin is not None
    assert (vermin.label, vermin.on, vermin.extent) == ("rats", "wall", "severe")
    assert "rat" in vermin.spoken


def test_a_users_word_leaves_the_entry_it_was_shipped_under(tmp_path: Path) -> None:
    text = 'kind = "structure"\n[[entry]]\nid = "inspection_chamber"\nlabel = "chamber"\nspoken = ["gully pot"]\n'
    lexicon = load_lexicon(folder(tmp_path, mine=text))
    tags = find_tags(speech_of("gully pot"), phrase_table(lexicon))
    assert [tag.id for tag in tags if tag.kind == "structure"] == ["inspection_chamber"]


def test_a_user_may_settle_that_a_mishearing_is_always_the_word(tmp_path: Path) -> None:
    text = 'kind = "condition"\n[[entry]]\nid = "root_intrusion"\nlabel = "roots"\nspoken = ["routes"]\n'
    tags = find_tags(speech_of("routes"), phrase_table(load_lexicon(folder(tmp_path, mine=text))))
    assert [(tag.id, tag.certain) for tag in tags if tag.kind == "condition"] == [("root_intrusion", True)]


def test_of_two_folders_the_later_one_has_the_last_word(tmp_path: Path) -> None:
    first, second = tmp_path / "a", tmp_path / "b"
    first.mkdir()
    second.mkdir()
    lexicon = load_lexicon(
        folder(first, mine=GULLY), folder(second, mine=GULLY.replace('label = "gully"', 'label = "trap"'))
    )
    assert lexicon.label("gully") == "trap"


def test_the_fingerprint_tells_what_was_read(tmp_path: Path) -> None:
    plain, more = load_lexicon(), load_lexicon(folder(tmp_path, mine=GULLY))
    assert plain.fingerprint == load_lexicon().fingerprint != more.fingerprint


@pytest.mark.parametrize(
    ("text", "line", "entry", "told"),
    [
        (GULLY.replace("spoken", "spokn"), 3, "gully", "Did you mean 'spoken'?"),
        (GULLY.replace('label = "gully"\n', ""), 3, "gully", "label"),
        (GULLY.replace("slop hole", "Slop Hole"), 3, "gully", "lower case"),
        (GULLY.replace("slop hole", "slop  hole"), 3, "gully", "stray spaces"),
        (GULLY.replace('["slop hole"]', '["slop hole", "slop hole"]'), 3, "gully", "listed twice"),
        (GULLY + 'misheard = ["slop hole"]\n', 3, "gully", "spoken and as misheard"),
        (GULLY.replace('"gully"', '"guly"'), 3, "guly", "Did you mean 'gully'?"),
        (TWO.replace('"moon_glass"', '"Moon Glass"'), 9, "Moon Glass", "id"),
        (TWO.replace('"moon_glass"', '"pvc"'), 9, "pvc", "already"),
        (TWO.replace('["moon glass"]', '["grey stuff"]'), 9, "moon_glass", "'grey stuff' is said of 'pvc' already"),
        (TWO.replace('["moon glass"]', '"moon glass"'), 9, "moon_glass", "spoken"),
        (GULLY + 'on = "jont"\n', 3, "gully", "Did you mean 'joint'?"),
        (GULLY.replace('["slop hole"]', '["slop hole"'), 7, "gully", "no valid TOML"),
        (TWO.replace('"moon glass"\nspoken', '"moon glass\nspoken'), 11, "moon_glass", "no valid TOML"),
        (TWO + "spoken = []\n", 13, "moon_glass", "no valid TOML"),
    ],
    ids=[
        "misspelt field",
        "no label",
        "capitals",
        "two spaces",
        "twice in one list",
        "spoken and misheard",
        "unknown id",
        "capitals in an id",
        "entry twice",
        "phrase in two entries",
        "a string for a list",
        "unknown component",
        "list left open",
        "string left open",
        "field twice",
    ],
)
def test_an_error_names_file_line_and_entry(tmp_path: Path, text: str, line: int, entry: str, told: str) -> None:
    error = error_of(tmp_path, text)
    assert str(tmp_path / "mine.toml") in error.where
    assert f"line {line}" in error.where
    assert repr(entry) in error.where
    assert told in str(error)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (GULLY.replace('kind = "structure"\n', ""), "has no kind"),
        (GULLY.replace('"structure"', '"structur"'), "Did you mean 'structure'?"),
        (GULLY.replace("kind =", "knd ="), "Did you mean 'kind'?"),
        (GULLY.replace("[[entry]]", "[[entries]]"), "'entries' is not known here"),
        ('kind = "structure"\nentry = "gully"\n', "[[entry]]"),
        ('kind = "structure"\n[entry]\nid = "gully"\n', "[[entry]]"),
        (GULLY.encode("utf-16"), "UTF-8"),
        (GULLY.replace("slop hole", "tech’s hole").encode("windows-1252"), "line 6"),
        (b"\x00\x01\x02", "no valid TOML"),
        (b"#" * (MOST_BYTES + 1), "no list of words"),
    ],
    ids=[
        "no kind",
        "misspelt kind",
        "misspelt key",
        "misspelt table",
        "entry a string",
        "entry a table",
        "UTF-16",
        "Windows-1252",
        "no text",
        "huge",
    ],
)
def test_a_file_that_is_no_list_of_words_is_told(tmp_path: Path, text: str | bytes, told: str) -> None:
    error = error_of(tmp_path, text)
    assert "mine.toml" in error.where
    assert told in f"{error.where}: {error}"


def test_the_same_entry_in_two_files_of_a_folder_is_told_with_both_places(tmp_path: Path) -> None:
    with pytest.raises(LexiconError) as caught:
        load_lexicon(folder(tmp_path, a=GULLY, b=GULLY))
    assert "b.toml, line 3" in caught.value.where
    assert "a.toml, line 3" in caught.value.what


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbf" + GULLY.encode(),
        GULLY.replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + GULLY.replace("\n", "\r\n").encode(),
    ],
    ids=["byte order mark", "CRLF", "both"],
)
def test_marks_and_line_ends_of_other_editors_are_no_matter(tmp_path: Path, data: bytes) -> None:
    gully = load_lexicon(folder(tmp_path, mine=data)).entry("structure", "gully")
    assert gully is not None
    assert "slop hole" in gully.spoken


def test_a_folder_with_rule_tables_only_is_fine(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "falls.toml").write_text("")
    assert load_lexicon(tmp_path).entries == load_lexicon().entries


@pytest.mark.parametrize("name", ["nowhere", "file.toml"])
def test_no_folder_is_told(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.toml").write_text(GULLY)
    with pytest.raises(LexiconError, match="no such lexicon folder"):
        load_lexicon(tmp_path / name)


def test_an_empty_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(LexiconError, match=r"no \.toml file"):
        load_lexicon(tmp_path)
