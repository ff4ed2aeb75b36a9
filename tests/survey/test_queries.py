"""Queries: what a person must decide, and nothing else."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say} and that's us at the main at 12 metres"


@pytest.mark.parametrize("case", params(cases("survey_queries")))
def test_survey_queries(case: Case) -> None:
    compare(case, "query", carrier=CARRIER)
