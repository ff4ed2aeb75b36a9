"""scripts/score: the figures of a record against what a careful reader made of the same words."""

import copy
import importlib.util
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from tests.visits import TEXT, small_record


@pytest.fixture(scope="module")
def scoring() -> ModuleType:
    """The script as a module: scripts/ is no package."""
    spec = importlib.util.spec_from_file_location("scoring", Path(__file__).parents[1] / "scripts" / "scoring.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["scoring"] = module
    spec.loader.exec_module(module)
    return module


def gold() -> dict[str, Any]:
    return small_record().model_dump(mode="json")


def test_the_same_record_is_right_in_every_figure(scoring: ModuleType) -> None:
    score = scoring.score_record(TEXT, gold(), gold())
    assert not score.misses
    for figure in score.wanted:
        wanted = (0.0, 0.0, 0.0) if figure.startswith("silent") and score.found[figure] else (1.0, 1.0, 1.0)
        assert score.precision_recall_f1(figure) == wanted, figure


@pytest.mark.parametrize(
    ("change", "figure", "right"),
    [
        (lambda record: record["observations"].pop(0), "rows.what", 3),
        (lambda record: record["observations"][0].update(condition="crack"), "rows.what", 3),
        (lambda record: record["observations"][0].update(polarity="absent"), "rows.what", 3),
        (lambda record: record["observations"][0].update(from_m=2.52), "rows.core", 3),
        (lambda record: record["observations"][0].update(from_m=2.51), "rows.core", 4),  # a centimetre is near enough
        (lambda record: record["observations"][0].update(from_m=None), "rows.core", 3),
        (lambda record: record["observations"][0].update(component=None), "rows.core", 3),
        (lambda record: record["observations"][0].update(outcome="open"), "rows.core", 4),
        (lambda record: record["observations"][0].update(outcome="open"), "rows.full", 3),
        (lambda record: record["observations"][0].update(clock=[3, 9]), "rows.clock", 3),
        (lambda record: record["runs"][0].update(end_m=9.6), "runs.end", 0),
        (lambda record: record["runs"][0].update(direction=None), "runs.direction", 0),
        (lambda record: record["actions"][0].update(action="rodding"), "actions", 0),
        (lambda record: record["conclusions"][0].update(condition=None), "conclusions", 0),
        (lambda record: record["queries"][0].update(quote="camera in the inlet"), "queries", 0),
        (lambda record: record["queries"][0].update(quote="never said"), "quotes_in_words", 6),
    ],
)
def test_a_difference_counts_against_its_own_figure(
    scoring: ModuleType, change: Callable[[dict[str, Any]], None], figure: str, right: int
) -> None:
    record = copy.deepcopy(gold())
    change(record)
    assert scoring.score_record(TEXT, gold(), record).right[figure] == right


def test_a_wrong_row_is_silent_only_without_a_query_on_its_words(scoring: ModuleType) -> None:
    record = copy.deepcopy(gold())
    record["observations"][1]["from_m"] = 7.0  # the row that the query is about
    assert scoring.score_record(TEXT, gold(), record).right["silent_wrong"] == 0
    record["observations"][0]["from_m"] = 7.0
    assert scoring.score_record(TEXT, gold(), record).right["silent_wrong"] == 1


def test_a_missed_defect_is_silent_only_without_a_query_on_its_words(scoring: ModuleType) -> None:
    record = {**gold(), "observations": []}
    assert scoring.score_record(TEXT, gold(), record).right["silent_missed"] == 1  # the roots; the crack is asked about
