"""Places: which distance belongs to which thing."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params

CARRIER = "camera's in the gully heading downstream {say} and that's us at the main at 12 metres"


@pytest.mark.parametrize("case", params(cases("survey_places")))
def test_survey_places(case: Case) -> None:
    compare(case, "row", carrier=CARRIER)
