"""Roles: what each measured value is of."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say}"


@pytest.mark.parametrize("case", params(cases("survey_roles")))
def test_survey_roles(case: Case) -> None:
    compare(case, "value", carrier=CARRIER)
