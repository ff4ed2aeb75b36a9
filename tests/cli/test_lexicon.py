"""`rodnote lexicon`: a folder of words is checked, and words are looked up."""

from pathlib import Path

import pytest

from extractor.cli.main import run

SOUND = """
kind = "material"

[[entry]]
id = "pvc"
label = "PVC"
spoken = ["dandy pipe"]

[[entry]]
id = "moon_glass"
label = "moon glass"
spoken = ["moon glass"]
"""


def folder_of(tmp_path: Path, text: str) -> str:
    (tmp_path / "mine.toml").write_text(text)
    return str(tmp_path)


def test_a_sound_folder_is_told_with_what_it_adds(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["lexicon", "check", folder_of(tmp_path, SOUND)]) == 0
    assert "1 file, 1 new entry, 1 entry added to." in capfd.readouterr().out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("kind = ", "line 1"),
        (SOUND.replace('label = "moon glass"\n', ""), "moon_glass"),
        (SOUND.replace('"moon glass"]', '"Moon Glass"]'), "lower case"),
        (SOUND.replace('kind = "material"', 'kind = "planet"'), "kind"),
        (SOUND + 'colour = "green"\n', "colour"),
    ],
    ids=["no TOML", "no label", "capitals", "unknown kind", "unknown field"],
)
def test_a_fault_is_one_line_that_names_file_and_place(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], text: str, told: str
) -> None:
    assert run(["lexicon", "check", folder_of(tmp_path, text)]) == 4
    err = capfd.readouterr().err
    assert len(err.splitlines()) == 1
    assert "mine.toml" in err
    assert told in err


RATES = """
currency = "$"

[[rate]]
name = "jetting"
method = "jet"
price = 12.5
"""


def rules_of(tmp_path: Path, text: str) -> str:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "rates.toml").write_text(text)
    return str(tmp_path)


def test_rule_tables_are_checked_with_words_or_alone(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    folder = rules_of(tmp_path, RATES)
    assert run(["lexicon", "check", folder]) == 0
    assert "0 files, 0 new entries, 0 entries added to, 1 rule table." in capfd.readouterr().out
    folder_of(tmp_path, SOUND)
    assert run(["lexicon", "check", folder]) == 0
    assert "1 file, 1 new entry, 1 entry added to, 1 rule table." in capfd.readouterr().out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (RATES.replace("12.5", "-1"), "line 4, rate 'jetting'"),
        (RATES.replace('"jet"', '"juggle"'), "'juggle' is not in repairs.toml"),
        (RATES.replace("[[rate]]", "[[rat]]"), "'rat' is not known here"),
        ("currency = ", "rates.toml"),
    ],
    ids=["a price below nothing", "a method that none defines", "an unknown table", "no TOML"],
)
def test_a_fault_in_a_rule_table_is_one_line(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], text: str, told: str
) -> None:
    assert run(["lexicon", "check", rules_of(tmp_path, text)]) == 4
    err = capfd.readouterr().err
    assert len(err.splitlines()) == 1
    assert told in err


def test_a_folder_without_words_or_that_is_missing_is_told(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["lexicon", "check", str(tmp_path)]) == 4
    assert run(["lexicon", "check", str(tmp_path / "nowhere")]) == 4
    assert len(capfd.readouterr().err.splitlines()) == 2


def test_words_are_found_exactly_nearly_and_in_a_folder_of_ones_own(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["lexicon", "find", "rodding", "eye"]) == 0
    assert capfd.readouterr().out.startswith("rodding eye: structure inspection_opening")
    assert run(["lexicon", "find", "roddin", "ey"]) == 0
    assert "inspection_opening" in capfd.readouterr().out
    assert run(["lexicon", "find", "moon", "glass", "--lexicon", folder_of(tmp_path, SOUND)]) == 0
    assert capfd.readouterr().out.startswith("moon glass: material moon_glass")


def test_words_that_nothing_is_like_are_told(capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["lexicon", "find", "xylophone"]) == 1
    assert "nothing in the lexicon" in capfd.readouterr().out
