"""Round trip: numbers said by num2words (an independent library) come back as the value they were made from.

The values are those a push camera, a tape and a tank can give: 0 to 130 m by the centimetre, 0 to 400 ft by the inch,
1 mm to 3 m by the millimetre. Foot and inch: 16 CFR 500.19, NIST SP 811.
"""

import pytest

from extractor.language.measures import MeasureGrammar, measure_grammar
from extractor.language.tokens import normal_forms
from extractor.lexicon.load import load_lexicon
from tests.language.spoken_forms import counter_readings, digits_in_words, in_words, read_each

FOOT, INCH = 0.3048, 0.0254
DECIMALS = [*(str(tenth) for tenth in range(10)), *(f"{hundredth:02d}" for hundredth in range(1, 100))]
PARTS = (("a half", 0.5), ("a quarter", 0.25), ("three quarters", 0.75))

Case = tuple[str, float, str | None]


@pytest.fixture(scope="module")
def grammar() -> MeasureGrammar:
    return measure_grammar(load_lexicon())


def misread(cases: list[Case], grammar: MeasureGrammar, habit: str = "m") -> list[object]:
    """The cases that don't come back as one measure of that value and unit over all their words."""
    wrong: list[object] = []
    for (phrase, value, unit), found in zip(cases, read_each([case[0] for case in cases], grammar, habit), strict=True):
        whole = " ".join(normal_forms(phrase))
        good = [
            measure.unit == unit and abs(measure.low - value) < 2e-6 and measure.low == measure.high and words == whole
            for measure, words in found
        ]
        if good != [True]:
            wrong.append((phrase, value, unit, found))
    return wrong


def test_counter_readings_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for whole in range(131):
        for number, decimals in enumerate(DECIMALS):
            forms = list(counter_readings(whole, decimals))
            value = float(f"{whole}.{decimals}")
            if whole == 0 or whole % 13 == 4:  # every form of some, one form of each
                cases.extend((form, value, None) for form in forms)
            else:
                cases.append((forms[(whole + number) % len(forms)], value, None))
    assert len(cases) > 20_000
    assert misread(cases, grammar) == []


def test_counter_readings_with_the_unit_said_come_back(grammar: MeasureGrammar) -> None:
    units = ("metres", "m", "meters", "metre", "meter")
    cases: list[Case] = []
    for whole in range(131):
        for number, decimals in enumerate(DECIMALS):
            unit = units[(whole + number) % len(units)]
            said = f"{in_words(whole)} point {digits_in_words(decimals)}" if number % 2 else f"{whole}.{decimals}"
            cases.append((f"{said} {unit}", float(f"{whole}.{decimals}"), "m"))
    assert misread(cases, grammar) == []


def test_counter_with_the_point_dropped_comes_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for whole in range(1, 131):
        said = in_words(whole)
        for tenth in range(1, 10):
            cases.append((f"{whole} {tenth}", whole + tenth / 10, None))
            cases.append((f"{whole}. {tenth}", whole + tenth / 10, None))
            if whole <= 60 and (whole < 20 or whole % 10):  # "twenty six" is 26
                cases.append((f"{said} {in_words(tenth)}", whole + tenth / 10, None))
                cases.append((f"{said} oh {in_words(tenth)}", whole + tenth / 100, None))
        for hundredth in range(10, 100):
            if whole <= 60 and (whole < 20 or whole % 10) and hundredth != whole + 1:  # "nine ten" counts on
                cases.append((f"{said} {in_words(hundredth)}", whole + hundredth / 100, None))
                cases.append((f"{whole}. {hundredth}", whole + hundredth / 100, None))
    assert misread(cases, grammar) == []


def test_cardinals_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = [(in_words(number), number, None) for number in (*range(131), *range(131, 100_000, 251))]
    cases += [(str(number), number, None) for number in range(131)]
    cases += [(f"{number:,} litres", number, "L") for number in range(1000, 30_000, 99)]
    assert misread(cases, grammar) == []


def test_metres_and_centimetres_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for whole in range(1, 131):
        said = in_words(whole)
        for hundredth in range(10, 100):
            forms = (
                f"{said} metres {in_words(hundredth)}",
                f"{whole} metres {hundredth}",
                f"{whole} meters. {hundredth}",
                f"{said} metres and {in_words(hundredth)} centimetres",
                f"{whole}m{hundredth}",
                f"{whole} m {hundredth} cm",
            )
            cases.append((forms[(whole + hundredth) % len(forms)], whole + hundredth / 100, "m"))
        cases += [(f"{said} metres oh {in_words(digit)}", whole + digit / 100, "m") for digit in range(1, 10)]
        for part, value in PARTS:
            cases.append((f"{said} and {part} metres", whole + value, "m"))
            cases.append((f"{said} metres and {part}", whole + value, "m"))
            cases.append((f"{said} and {part}", whole + value, None))
        cases += [(form, whole + 0.5, "m") for form in (f"{whole} 1/2 m", f"{whole}½ m", f"{whole} ½ metres")]
    assert misread(cases, grammar) == []


def test_feet_and_inches_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for feet in range(1, 401):
        said = in_words(feet)
        for form in (f"{said} foot", f"{said} feet", f"{feet} ft", f"{feet}'", f"{feet} feet even"):
            cases.append((form, feet * FOOT, "m"))
        for part, value in PARTS:
            cases.append((f"{said} and {part} feet", (feet + value) * FOOT, "m"))
            cases.append((f"{said} foot and {part}", (feet + value) * FOOT, "m"))
        for inches in range(1, 12):
            number = in_words(inches)
            forms = (
                f"{said} foot {number}",
                f"{said} feet {number} inches",
                f"{feet} foot {inches}",
                f"{feet} ft {inches} in",
                f"{feet}' {inches}\"",
                f"{feet}'{inches}\"",
                f"{said} foot and {number} inches",
                f"{feet}ft {inches}in",
                f"{feet} feet. {inches}",
                f"{feet}ft{inches}",
                f"{said} foot {number} and a half inches",
            )
            form = (feet + inches) % len(forms)
            value = feet * FOOT + (inches + 0.5 * (form == len(forms) - 1)) * INCH
            cases.append((forms[form], value, "m"))
    assert misread(cases, grammar) == []


def test_feet_and_inches_with_the_units_dropped_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for feet in range(1, 131):
        for inches in range(1, 12):
            cases.append((f"{feet} {inches}", feet + inches / 12, None))
            if feet < 20 or (feet % 10 and feet < 100) or (inches > 9 and feet % 100):
                cases.append((f"{in_words(feet)} {in_words(inches)}", feet + inches / 12, None))
    assert misread(cases, grammar, "ft") == []


def test_small_sizes_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for size in range(1, 3001):
        said = in_words(size)
        forms = (
            f"{said} mil",
            f"{size}mm",
            f"{size} mil",
            f"{said} millimetres",
            f"{size} millimeters",
            f"{size} mill",
        )
        cases.append((forms[size % len(forms)], size / 1000, "m"))
        if size < 200:
            cases += [(f"{said} centimetres", size / 100, "m"), (f"{size} cm", size / 100, "m")]
            cases += [(form, size * INCH, "m") for form in (f"{said} inches", f"{size} inch", f'{size}"', f"{size}in")]
        if 100 < size < 1000 and size % 100:  # "two twenty five mil": 225 mm
            rest = in_words(size % 100) if size % 100 > 9 else f"oh {in_words(size % 100)}"
            cases.append((f"{in_words(size // 100)} {rest} mil", size / 1000, "m"))
    assert misread(cases, grammar) == []


def test_percents_times_and_falls_come_back(grammar: MeasureGrammar) -> None:
    cases: list[Case] = []
    for number in range(1, 101):
        cases += [(form, number, "%") for form in (f"{in_words(number)} percent", f"{number}%", f"{number} per cent")]
        cases += [(f"{in_words(number)} mil per metre", number, "mm/m"), (f"{number} mm per metre", number, "mm/m")]
    for number in range(2, 121):
        cases += [(f"{in_words(number)} minutes", number, "min"), (f"{number} mins", number, "min")]
        cases += [(f"{in_words(number)} hours", number * 60, "min"), (f"{number} seconds", number / 60, "min")]
    for number in range(20, 301):
        cases += [(f"one in {in_words(number)}", number, "ratio"), (f"1 in {number}", number, "ratio")]
    cases += [(f"1:{number}", number, "ratio") for number in range(60, 301)]
    assert misread(cases, grammar) == []
