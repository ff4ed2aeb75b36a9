"""The sections as a report takes them: figures as worked by hand, sources named, nothing claimed that was not said."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.record import Action, Conclusion, Record
from extractor.trade.compare import compare
from extractor.trade.comparison_section import comparison_section
from extractor.trade.rules import Rules
from extractor.trade.section import Section
from extractor.trade.sections import trade_questions, trade_sections
from extractor.trade.tables import Code
from tests.trade.records import feature, measure, record, row, run

TEXT = (
    "lid's off the septic tank it's a three thousand litre one sludge is about four hundred mil scum is a hundred "
    "liquid depth one point five metres out of the outlet junction at three crack at four falls one in eighty then "
    "from the box same junction from the other side at three nine the box has three outlets and it's only going down "
    "one"
)


@pytest.fixture
def visit() -> Record:
    """One of each: two ends of one pipe, a dip, a stated fall, a tank with its layers, a box, work, a conclusion."""
    return record(
        run("R1", "septic_tank outlet", "downstream", 5.0, end_reason="could_not_pass"),
        run("R2", "distribution_box inlet", "upstream", 4.2, end_reason="stopped"),
        feature("R1", "junction", 3.0, quote="junction at three"),
        feature("R2", "junction", 3.9, quote="same junction from the other side at three nine"),
        row("R1", "crack", 4.0, quote="crack at four", certainty="tentative"),
        row("R1", "joint/root_intrusion", 5.0, extent="severe"),
        row("R2", "standing_water", 1.0, 2.5),
        row("R1", "grease", 0.0, 5.0, absent=True),
        row("septic_tank", "baffle/missing_part"),
        row("distribution_box", "outlet/", count=3, quote="the box has three outlets"),
        measure(3000, "L", "other", "three thousand litre", structure="septic_tank"),
        measure(0.4, "m", "depth", "about four hundred mil", structure="septic_tank", approximate=True),
        measure(0.1, "m", "depth", "a hundred", structure="septic_tank"),
        measure(1.5, "m", "depth", "one point five metres", structure="septic_tank"),
        measure(80, "ratio", "fall", "one in eighty", run="R1"),
        measure(0.1, "m", "diameter", "hundred mil", run="R1"),
        Action(action="lid_lifted", target="septic_tank", quote="lid's off the septic tank"),
        Conclusion(kind="main_issue", condition="root_intrusion", quote="roots"),
        text=TEXT,
    )


def all_text(section: Section) -> str:
    cells = [cell for line in section.table.rows for cell in line] if section.table else []
    return "\n".join((section.title, *section.paragraphs, *cells, *section.notes))


@pytest.fixture
def sections(visit: Record, rules: Rules) -> dict[str, Section]:
    return {section.name: section for section in trade_sections(visit, rules=rules, codes=True)}


def test_every_kind_of_section_is_there_in_order(sections: dict[str, Section]) -> None:
    assert list(sections) == [
        "priorities",
        "repairs",
        "coverage",
        "seen-twice",
        "falls",
        "tanks",
        "to-check",
        "to-measure",
        "cautions",
        "codes",
    ]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("priorities", "roots that stop the camera"),
        ("priorities", "(doubtful)"),
        ("repairs", "cut and jet out roots"),
        ("coverage", "R1 and R2 are one line of 6.90 m (one thing seen from both sides)."),  # 3.0 + 3.9
        ("coverage", "2.30 m of it was seen from both ends."),  # 5.0 + 4.2 - 6.9
        ("coverage", "no grease, 0.00 m to 5.00 m"),
        ("seen-twice", "R1 at 3.00 m and R2 at 3.90 m"),
        ("falls", "1 in 80 (1.25 %, 12.5 mm per m)"),
        ("falls", "16.5 mm per m"),
        ("falls", "RMIT teaching page"),
        ("falls", "R2: water stands for 1.50 m, 1.00 m to 2.50 m."),
        ("falls", "it would drop 25 mm over that length"),  # 1.5 m at 16.5 mm a metre
        ("tanks", "33 %"),
        ("tanks", "800 L"),
        ("tanks", "SepticSmart"),
        ("tanks", "not sharing the flow"),
        ("to-check", "asks at least 16.5 mm per m for new work"),
        ("tanks", "bottom of the outlet"),
        ("to-measure", "distribution box inlet, upstream: water stands in it"),
        ("cautions", "licensed"),
        ("codes", "Check against the bought standard"),
        ("codes", "BBA"),
    ],
)
def test_a_section_carries_its_figures(sections: dict[str, Section], name: str, says: str) -> None:
    assert says in all_text(sections[name])


def test_codes_are_left_out_unless_asked_for(visit: Record, rules: Rules) -> None:
    assert "codes" not in {section.name for section in trade_sections(visit, rules=rules)}


def test_feet_stand_beside_metres_where_the_visit_spoke_feet(visit: Record, rules: Rules) -> None:
    in_feet = visit.model_copy(update={"spoken_unit": "ft"})
    text = "\n".join(all_text(section) for section in trade_sections(in_feet, rules=rules))
    assert "6.90 m (22.6 ft)" in text  # 6.9 / 0.3048


def test_what_was_recalled_is_marked_in_the_output(visit: Record, rules: Rules) -> None:
    text = "\n".join(all_text(section) for section in trade_sections(visit, code="ADH", rules=rules))
    assert re.search(r"Approved Document H.*\(from memory: check before relying on it\)", text)


def test_an_empty_record_has_no_sections(rules: Rules) -> None:
    assert trade_sections(Record(), rules=rules) == () and trade_questions(Record(), rules=rules) == ()


def test_a_comparison_says_what_it_rests_on(visit: Record, rules: Rules) -> None:
    found = compare(visit, record(run("R1", "gully", "downstream", 2.0)), rules=rules)
    section = comparison_section(found, visit, rules)
    assert section.table and {line[0] for line in section.table.rows} == {"not looked at again"}
    assert "this program's own choice" in section.notes[0]


WHATS = ["crack", "lid/break", "full", "dip", "sound", "outlet/", "baffle/missing_part", "pump/pump_fault"]
somewhere = st.one_of(st.none(), st.integers(0, 90).map(lambda tenths: tenths / 10))


@settings(max_examples=40, deadline=None)
@given(
    said=st.lists(
        st.tuples(
            st.sampled_from(["R1", "R2", "septic_tank", "distribution_box", "manhole"]),
            st.sampled_from(WHATS),
            somewhere,
            somewhere,
            st.booleans(),
        ),
        max_size=8,
    ),
    code=st.sampled_from(["AS/NZS 3500.2", "ADH", "IPC"]),
    end=somewhere,
)
def test_any_record_makes_whole_tables(
    rules: Rules, said: list[tuple[str, str, float | None, float | None, bool]], code: Code, end: float | None
) -> None:
    rows = []
    for where, what, a, b, absent in said:
        ends = sorted(each for each in (a, b) if each is not None) if where.startswith("R") else []
        rows.append(row(where, what, *ends, absent=absent))
    any_record = record(
        run("R1", "septic_tank outlet", "downstream", end, end_reason="could_not_pass"),
        run("R2", "distribution_box inlet", "upstream", 4.0, end_reason="reached", end_at="septic_tank"),
        *rows,
    )
    for section in trade_sections(any_record, code=code, rules=rules, codes=True):
        assert section.title and (section.table or section.paragraphs)
        if section.table:
            assert {len(line) for line in section.table.rows} == {len(section.table.header)}
        assert "None" not in all_text(section) and "nan" not in all_text(section)
