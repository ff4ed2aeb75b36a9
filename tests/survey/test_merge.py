"""Merging: a thing spoken of twice is one row."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say}"


@pytest.mark.parametrize("case", params(cases("survey_merge")))
def test_survey_merge(case: Case) -> None:
    compare(case, "row", carrier=CARRIER)
