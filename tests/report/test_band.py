"""The drawing of a line: nothing covers anything, every stretch is drawn as what was said of it, the scale is round."""

import itertools
import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.record import Observation, Record, Run, RunStart
from extractor.report.amounts import plain
from extractor.report.band import WIDTH, draw_band, round_step
from extractor.report.band_fills import fills_along
from extractor.report.band_labels import place_flags
from extractor.report.fonts import text_width
from extractor.report.view import RunPart
from tests.report.made_records import hostile_record, record_of, view_of, visit_record

SVG = "{http://www.w3.org/2000/svg}"


def _run(*rows: Observation, end_m: float | None = 10.0, reason: str | None = "could_not_pass") -> RunPart:
    run = Run(id="R1", start=RunStart(structure="gully"), direction="downstream", end_m=end_m, end_reason=reason)
    return view_of(Record(runs=(run,), observations=rows)).runs[0]


def _row(**fields: object) -> Observation:
    return Observation.model_validate({"run": "R1", "quote": "", **fields})


@given(
    st.lists(st.tuples(st.floats(0, 500), st.floats(5, 90)), max_size=60),
    st.integers(1, 9),
)
def test_flags_never_cover_each_other_and_no_leader_crosses_a_flag(
    labels: list[tuple[float, float]], lanes: int
) -> None:
    labels.sort()
    layout = place_flags([at for at, _ in labels], [width for _, width in labels], 0.0, 500.0, lanes)
    if layout is None:
        assert sum(width + 11 for _, width in labels) > 500  # side by side with leaders and gaps they don't fit
        return
    boxes = [(flag.x, flag.x + width, flag.lane) for flag, (_, width) in zip(layout.flags, labels, strict=True)]
    assert all(0 <= lane < lanes and left >= -1e-6 and right <= 500 + 1e-6 for left, right, lane in boxes)
    assert [left for left, _, _ in boxes] == sorted(left for left, _, _ in boxes)
    for one, other in itertools.combinations(boxes, 2):
        if one[2] == other[2]:
            assert one[1] <= other[0] + 1e-6
        for leader, flag in ((one, other), (other, one)):
            # a leader rises at its left edge through every lower lane
            assert not (leader[2] > flag[2] and flag[0] < leader[0] < flag[1] - 1e-6)


@pytest.mark.parametrize(
    ("length", "most", "step"),
    [(60, 10, 10), (12.5, 10, 2), (7.35, 10, 1), (3, 10, 0.5), (0.4, 10, 0.05), (197, 10, 20)],
)
def test_the_scale_counts_in_ones_twos_and_fives(length: float, most: int, step: float) -> None:
    assert round_step(length, most) == pytest.approx(step)


@pytest.mark.parametrize(
    ("rows", "feet", "length"), [(3, False, 60.0), (30, True, 60.0), (40, False, 60.0), (150, True, 9.0)]
)
def test_no_words_in_the_drawing_cover_others(rows: int, feet: bool, length: float) -> None:
    run = view_of(record_of(rows, feet=feet, length_m=length)).runs[0]
    for drawing in draw_band(run, "band"):
        boxes = _text_boxes(drawing.svg)
        assert len(boxes) > 5
        for (one, *first), (other, *second) in itertools.combinations(boxes, 2):
            apart = first[1] <= second[0] or second[1] <= first[0] or first[3] <= second[2] or second[3] <= first[2]
            assert apart, (one, other)
        assert all(left >= 0 and right <= WIDTH + 0.5 for _, left, right, _, _ in boxes)


def test_forty_rows_over_sixty_metres_fit_the_width_of_a4_and_are_legible() -> None:
    (drawing,) = draw_band(view_of(record_of(40)).runs[0], "band")
    text_points = 482.0  # A4 less two margins of 20 mm
    sizes = {float(element.get("font-size", "0")) for element in ElementTree.fromstring(drawing.svg).iter(f"{SVG}text")}
    assert min(sizes) * text_points / drawing.width >= 7  # points; common practice for the small print of a report
    assert drawing.height * text_points / drawing.width < 700


def test_every_row_with_a_distance_has_its_flag() -> None:
    run = view_of(record_of(40)).runs[0]
    (drawing,) = draw_band(run, "band")
    words = " | ".join(text for text, *_ in _text_boxes(drawing.svg))
    for row in run.rows:
        assert row.observation.from_m is not None
        assert plain(row.observation.from_m) in words and row.label in words


def test_every_stretch_is_filled_by_what_was_said_of_it_and_nothing_else() -> None:
    run = _run(
        _row(condition="sound", from_m=0, to_m=3),
        _row(condition="root_intrusion", polarity="absent", from_m=0, to_m=5),
        _row(condition="standing_water", from_m=6, to_m=7),
        _row(condition="grease", from_m=8, to_m=9, outcome="cleared"),
    )
    assert list(fills_along(run, 0, 12)) == [
        ("fine", 0, 3),
        ("free", 3, 5),
        ("passed", 5, 6),
        ("finding", 6, 7),
        ("passed", 7, 8),
        ("cleared", 8, 9),
        ("passed", 9, 10.0),
        ("unseen", 10.0, 12),
    ]


@pytest.mark.parametrize(
    "row",
    [
        _row(condition="sound", from_m=0, to_m=10, certainty="tentative"),
        _row(condition="root_intrusion", polarity="absent", from_m=0, to_m=10, certainty="tentative"),
        _row(condition="sound", component="junction", from_m=0, to_m=10),
        _row(condition="sound", from_m=4),
        _row(condition="dry", from_m=0, to_m=10),
        _row(condition="sound"),
    ],
)
def test_doubt_a_point_or_a_part_never_makes_a_stretch_good(row: Observation) -> None:
    assert list(fills_along(_run(row), 0, 10)) == [("passed", 0, 10)]


@given(
    st.lists(st.tuples(st.floats(0, 20), st.floats(0, 20), st.sampled_from(["sound", "crack", "grease"])), max_size=12)
)
def test_the_fills_add_up_to_the_run(rows: list[tuple[float, float, str]]) -> None:
    run = _run(*(_row(condition=condition, from_m=low, to_m=high) for low, high, condition in rows))
    fills = list(fills_along(run, 0.0, 10.0))
    assert fills[0][1] == 0.0 and fills[-1][2] == 10.0
    assert all(before[2] == after[1] and before[0] != after[0] for before, after in itertools.pairwise(fills))


def test_what_was_not_seen_is_drawn_after_the_end_and_only_there() -> None:
    (stopped,) = draw_band(_run(_row(condition="crack", from_m=4)), "band")
    (reached,) = draw_band(_run(_row(condition="crack", from_m=4), reason="reached"), "band")
    assert "not seen" in {text for text, *_ in _text_boxes(stopped.svg)}
    assert "not seen" not in {text for text, *_ in _text_boxes(reached.svg)}


def test_a_run_without_any_distance_is_not_drawn() -> None:
    assert draw_band(_run(_row(condition="crack"), end_m=None), "band") == ()


def test_the_drawing_says_in_words_what_it_shows() -> None:
    (drawing,) = draw_band(view_of(visit_record()).runs[0], "band")
    root = ElementTree.fromstring(drawing.svg)
    assert root.get("role") == "img" and root.find(f"{SVG}title") is not None
    assert "The camera went in at the septic tank (inlet)" in drawing.alt


def test_hostile_words_stay_words() -> None:
    for run in view_of(hostile_record()).runs:
        for drawing in draw_band(run, "band"):
            tags = {element.tag.removeprefix(SVG) for element in ElementTree.fromstring(drawing.svg).iter()}
            assert tags <= {"svg", "title", "desc", "defs", "pattern", "rect", "path", "circle", "polyline", "text"}


def test_the_same_run_is_the_same_drawing() -> None:
    first, second = (draw_band(view_of(record_of(30)).runs[0], "band") for _ in range(2))
    assert first == second


def _text_boxes(svg: str) -> list[tuple[str, float, float, float, float]]:
    """(words, left, right, top, bottom) of every text, as wide as the report's own font makes it."""
    boxes = []
    for element in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        words, size = element.text or "", float(element.get("font-size", "0"))
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        width = text_width(words, size) / 1.12  # without the margin for other fonts
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[element.get("text-anchor", "start")]
        boxes.append((words, left, left + width, y - size * 0.72, y + size * 0.2))
    return boxes
