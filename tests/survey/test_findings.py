"""Findings: each thing seen is one row, with its part, degree, clock position and count."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say}"


@pytest.mark.parametrize("case", params(cases("survey_findings")))
def test_survey_findings(case: Case) -> None:
    compare(case, "row", carrier=CARRIER)
