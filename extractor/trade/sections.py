"""What the trade's arithmetic adds to a report: sections with a title, paragraphs, a small table and a note of sources.

All figures come from the modules beside this one; the sections only put them into words. One with nothing to say is
left out.
"""

from extractor.record import Record
from extractor.trade.coverage import coverage
from extractor.trade.falls import falls
from extractor.trade.line_sections import (
    coverage_section,
    falls_section,
    seen_twice_section,
    to_check_section,
    to_measure_section,
)
from extractor.trade.place_sections import cautions_section, codes_section, tanks_section
from extractor.trade.repairs import repairs
from extractor.trade.rows import Question
from extractor.trade.rules import Rules
from extractor.trade.section import Section
from extractor.trade.tables import Code
from extractor.trade.work_sections import priorities_section, repairs_section


def trade_sections(
    record: Record, *, code: Code = "AS/NZS 3500.2", rules: Rules, codes: bool = False
) -> tuple[Section, ...]:
    """The sections of a report, in order. `codes` adds the optional codes of EN 13508-2 as a section of its own."""
    seen = coverage(record, rules)
    found_falls = falls(record, code, rules)
    planned = repairs(record, rules, seen=seen)
    sections = [
        priorities_section(record, rules),
        repairs_section(record, rules, planned),
        coverage_section(record, rules, seen),
        seen_twice_section(record, rules, seen),
        falls_section(record, rules, found_falls),
        tanks_section(record, rules),
        to_check_section((*seen.questions, *found_falls.questions)),
        to_measure_section(record, rules, found_falls, planned),
        cautions_section(record, rules, planned),
        codes_section(record, rules) if codes else None,
    ]
    return tuple(section for section in sections if section is not None)


def trade_questions(record: Record, *, code: Code = "AS/NZS 3500.2", rules: Rules) -> tuple[Question, ...]:
    """What a person must decide before the figures can stand."""
    return (*coverage(record, rules).questions, *falls(record, code, rules).questions)
