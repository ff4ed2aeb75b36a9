"""Conclusions: what the trouble was, and what should be done next."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream roots at 4.2 grease at 6.6 {say}"


@pytest.mark.parametrize("case", params(cases("survey_conclusions")))
def test_survey_conclusions(case: Case) -> None:
    compare(case, "conclusion", carrier=CARRIER)
