"""Codes of EN 13508-2 against where they were read: the open Dutch dictionary GWSW 1.6 (export of 2025-11-18).

The mapping from our ids to codes is our own reading; the text layout is recalled in part and marked so in the file.
"""

import csv
from typing import Literal

import pytest

from extractor.record import Observation
from extractor.trade.exchange import ENCODING, WARNING, exchange_text
from extractor.trade.rules import Rules
from extractor.trade.standard_codes import CodeRow, code_of, coded
from extractor.trade.tables import CodeMapping, MainCode
from tests.trade.records import feature, measure, record, row, run

Letters = tuple[str, str, str]
# main code, letters of characterisation 1 and 2: read in GWSW 1.6 (tables 4 to 7 of the standard)
READ: dict[str, tuple[str, str]] = {
    "BAA": ("AB", ""),
    "BAB": ("ABC", "ABCDE"),
    "BAC": ("ABC", ""),
    "BAF": ("ABCDEFGHIJKZ", "ABCDEZ"),
    "BAG": ("", ""),
    "BAH": ("ABCDEZ", ""),
    "BAI": ("AZ", "ABCD"),
    "BAJ": ("ABC", ""),
    "BAL": ("ABCDEFGZ", "ABCD"),
    "BBA": ("ABC", ""),
    "BBB": ("ABCZ", ""),
    "BBC": ("ABCZ", ""),
    "BBD": ("ABCDZ", ""),
    "BBE": ("ABCDEFGHZ", ""),
    "BBF": ("ABCD", ""),
    "BBG": ("", ""),
    "BBH": ("ABZ", "ABCZ"),
    "BCA": ("ABCDEFGZ", "AB"),
    "BCC": ("AB", "AB"),
    "BDC": ("ABCZ", "ABCDEZ"),
    "BDD": ("ACDE", ""),
    "DAB": ("ABC", "ABCDE"),
    "DAC": ("ABC", ""),
    "DAR": ("ABCDEFGZ", ""),
}


@pytest.mark.parametrize(("name", "letters"), READ.items())
def test_a_code_takes_the_letters_that_were_read(rules: Rules, name: str, letters: tuple[str, str]) -> None:
    code = rules.named(MainCode, name)
    assert ("".join(sorted(code.c1)), "".join(sorted(code.c2))) == letters
    assert code.basis == "read" and code.source.startswith("EN 13508-2:2003+A1:2011")


def test_every_letter_of_a_mapping_is_one_that_its_code_takes(rules: Rules) -> None:
    for mapping in rules.of(CodeMapping):
        assert mapping.basis == "ours"
        for name in filter(None, (mapping.code, mapping.chamber_code)):
            code = rules.named(MainCode, name)
            for choices, otherwise, allowed in (
                (mapping.c1, mapping.c1_else, code.c1),
                (mapping.c2, mapping.c2_else, code.c2),
            ):
                letters = {choice.letter for choice in choices} | ({otherwise} - {"", "Y"})
                assert letters <= set(allowed) or name != mapping.code, f"{mapping.name}: {name}"


RUN = run("R1", "inspection_chamber", "downstream", 12.0, end_reason="could_not_pass", quote="can't get past that")


@pytest.mark.parametrize(
    ("what", "quote", "expected"),
    [
        ("joint/root_intrusion", "fine roots in the joint", ("BBA", "B", "")),
        ("joint/root_intrusion", "a mass of roots", ("BBA", "C", "")),
        ("joint/root_intrusion", "roots", ("BBA", "Y", "")),
        ("crack", "cracked along the pipe", ("BAB", "B", "A")),
        ("crack", "hairline crack", ("BAB", "A", "Y")),
        ("fracture", "fractured right round", ("BAB", "C", "B")),
        ("break", "it's broken", ("BAC", "Y", "")),
        ("break", "broken with a piece missing", ("BAC", "B", "")),
        ("hole", "hole in it", ("BAC", "B", "")),
        ("collapse", "fallen in", ("BAC", "C", "")),
        ("joint/displaced_joint", "step in the joint", ("BAJ", "B", "")),
        ("joint/open_joint", "joint's open", ("BAJ", "A", "")),
        ("grease", "fat on the walls", ("BBB", "B", "")),
        ("attached_deposit", "scale", ("BBB", "A", "")),
        ("settled_deposit", "silt in the bottom", ("BBC", "A", "")),
        ("settled_deposit", "gravel", ("BBC", "B", "")),
        ("surface_damage", "rusty inside", ("BAF", "J", "E")),
        ("surface_damage", "worn", ("BAF", "Y", "E")),
        ("infiltration", "water dripping in", ("BBF", "B", "")),
        ("vermin", "there's a rat in the pipe", ("BBH", "A", "A")),
        ("standing_water", "holding water", ("BDD", "Y", "")),
        ("junction/", "junction on the left", ("BCA", "G", "Y")),
        ("bend/sound", "bend to the left all good", ("BCC", "A", "Y")),
        ("junction/capped", "capped junction", ("BCA", "G", "B")),
    ],
)
def test_a_letter_comes_from_words_or_is_y(rules: Rules, what: str, quote: str, expected: Letters) -> None:
    visit = record(RUN, row("R1", what, 3.0, quote=quote))
    found = code_of(visit, "O1", visit.observations[0], rules)
    assert isinstance(found, CodeRow)
    assert (found.code, found.c1, found.c2) == expected


@pytest.mark.parametrize(
    ("observation", "why"),
    [
        (row("septic_tank", "crack"), "outside the standard"),
        (row("distribution_box", "settled_deposit"), "outside the standard"),
        (row("R1", "crack", 0.0, 9.0, absent=True), "absent"),
        (row("R1", "grease", 3.0, outcome="cleared"), "cleared on the day"),
        (row("R1", "sound", 0.0, 9.0), "no code"),
        (row("R1", "dry", 0.0, 9.0), "no code"),
        (row("manhole", "pump/pump_fault"), "has no code"),
        (row("R1", "filter/missing_part", 3.0), "has no code"),
        (row("manhole", "base/sound"), "no code"),
    ],
)
def test_what_the_standard_does_not_cover_is_left_out_with_the_reason(
    rules: Rules, observation: Observation, why: str
) -> None:
    visit = record(RUN, observation)
    found = code_of(visit, "O1", visit.observations[0], rules)
    assert isinstance(found, str) and why in found


@pytest.mark.parametrize(
    ("what", "quote", "expected"),
    [
        ("wall/crack", "crack in the wall", ("DAB", "B", "Y")),
        ("base/settled_deposit", "silt in the channel", ("DBC", "A", "")),
        ("lid/crack", "lid's cracked", ("DAR", "A", "")),
        ("lid/missing_part", "lid's gone", ("DAR", "C", "")),
        ("junction/", "junction comes in", ("DCA", "Y", "")),  # G, "kind not evident", is a letter of pipes only
    ],
)
def test_a_chamber_has_codes_of_its_own(rules: Rules, what: str, quote: str, expected: Letters) -> None:
    visit = record(row("manhole", what, quote=quote))
    found = code_of(visit, "O1", visit.observations[0], rules)
    assert isinstance(found, CodeRow) and (found.code, found.c1, found.c2) == expected


def test_a_quantity_is_taken_only_from_the_rows_own_words(rules: Rules) -> None:
    text = "roots about eighty percent of the bore and later on twenty percent water"
    visit = record(
        RUN,
        row("R1", "root_intrusion", 3.0, extent="severe", quote="roots about eighty percent of the bore"),
        row("R1", "grease", 5.0, extent="severe", quote="later on"),
        measure(80, "%", "level", "eighty percent", run="R1"),
        measure(20, "%", "level", "twenty percent", run="R1"),
        text=text,
    )
    roots, grease = (code_of(visit, each.id, each, rules) for each in visit.observations)
    assert isinstance(roots, CodeRow) and roots.quantity == "80"
    assert isinstance(grease, CodeRow) and grease.quantity == "", "heavy is no percentage"


def test_a_run_is_laid_out_from_its_start_to_its_end(rules: Rules) -> None:
    visit = record(
        RUN,
        row("R1", "joint/root_intrusion", 4.6, 6.2, clock=(9, 3), quote="fine roots", certainty="tentative"),
        feature("R1", "junction", 2.1, clock=(3, 3), quote="junction"),
        row("R1", "crack", quote="a crack somewhere"),
    )
    found = coded(visit, rules)
    (inspection,) = found.inspections
    assert [(each.distance_m, each.code, each.c1, each.stretch, each.clock) for each in inspection.rows] == [
        (0.0, "BCD", "B", "", ("", "")),
        (2.1, "BCA", "G", "", ("03", "")),
        (4.6, "BBA", "B", "A1", ("09", "03")),
        (6.2, "BBA", "B", "B1", ("09", "03")),
        (12.0, "BDC", "A", "", ("", "")),
    ]
    assert inspection.rows[2].joint and "doubtful" in inspection.rows[2].remark
    assert found.left_out == (("O3", "no distance was said"),)


def test_a_run_in_a_trench_is_left_out_whole(rules: Rules) -> None:
    visit = record(run("R1", "absorption_trench", "downstream", 5.0), row("R1", "root_intrusion", 2.0))
    assert coded(visit, rules).inspections == ()
    assert [key for key, _ in coded(visit, rules).left_out] == ["O1"]


@pytest.mark.parametrize(("direction", "letter"), [("downstream", "A"), ("upstream", "B"), (None, "C")])
def test_the_exchange_file_is_marked_and_can_be_read_back(
    rules: Rules, direction: Literal["upstream", "downstream"] | None, letter: str
) -> None:
    visit = record(
        RUN.model_copy(update={"direction": direction}),
        row("R1", "joint/root_intrusion", 4.6, quote='fine "hair" roots; lots\n\u2013 everywhere'),
    )
    text = exchange_text(visit, rules)
    assert text.encode(ENCODING).decode(ENCODING) == text
    lines = text.split("\r\n")
    # #A2 and #A6 = 2010 were read in an excerpt of the English text; the other lines are recalled
    assert lines[:6] == ["#A1=ISO-8859-1", "#A2=en", "#A3=;", "#A4=.", '#A5="', "#A6=2010"]
    table = list(csv.reader(lines[6:-1], delimiter=";"))
    assert table[0][0] == "#B01=AAA" and table[1][2] == letter
    columns = table[2]
    columns[0] = columns[0].removeprefix("#C=")
    rows = [dict(zip(columns, line, strict=True)) for line in table[3:-1]]
    assert rows[0]["F"] == WARNING and "CHECK AGAINST THE BOUGHT STANDARD" in WARNING
    roots = next(each for each in rows if each["A"] == "BBA")
    assert (roots["I"], roots["B"], roots["K"], roots["F"]) == (
        "4.60",
        "B",
        "A",
        "fine 'hair' roots; lots ? everywhere",
    )
    assert table[-1] == ["#Z"]
