"""Runs: where the camera went in, which way, how far and why it stopped."""

import pytest

from tests.understanding.spoken import Case, cases, compare, params


@pytest.mark.parametrize("case", params(cases("survey_runs")))
def test_survey_runs(case: Case) -> None:
    compare(case, "run")
