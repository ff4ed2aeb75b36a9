"""Work: what was done in the visit, and the outcome of what it was done to."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say}"


@pytest.mark.parametrize("case", params(cases("survey_work")))
def test_survey_work(case: Case) -> None:
    compare(case, "row", "action", carrier=CARRIER)
