"""The plan of the visit: what is joined was said to be joined, nothing covers anything, and it is not to scale."""

import itertools
import xml.etree.ElementTree as ElementTree

import pytest

from extractor.record import Observation, Record, Run, RunStart
from extractor.report.plan import draw_plan
from tests.report.made_records import hostile_record, record_of, view_of, visit_record

SVG = "{http://www.w3.org/2000/svg}"


def _run(
    id: str, structure: str, direction: str | None, reason: str | None, end_at: str | None, port: str | None = None
) -> Run:
    return Run.model_validate(
        {"id": id, "start": {"structure": structure, "port": port}, "direction": direction, "end_m": 5.0}
        | {"end_reason": reason, "end_at": end_at}
    )  # fmt: skip


def _drawn(*runs: Run, rows: tuple[Observation, ...] = ()) -> str:
    view = view_of(Record(runs=runs, observations=rows))
    drawing = draw_plan(view.runs, view.places)
    assert drawing is not None
    return drawing.svg


def _words(svg: str) -> list[tuple[str, float, float]]:
    return [
        (element.text or "", float(element.get("x", "0")), float(element.get("y", "0")))
        for element in ElementTree.fromstring(svg).iter(f"{SVG}text")
    ]


def test_water_flows_down_the_page() -> None:
    words = {text: y for text, _, y in _words(_drawn(
        _run("R1", "septic_tank", "upstream", "reached", "toilet", "inlet"),
        _run("R2", "septic_tank", "downstream", "reached", "distribution_box", "outlet"),
    ))}  # fmt: skip
    assert words["toilet"] < words["septic tank"] < words["distribution box"]


def test_the_end_of_one_run_is_the_start_of_the_next_where_there_is_one_of_its_kind() -> None:
    svg = _drawn(
        _run("R1", "septic_tank", "downstream", "reached", "distribution_box", "outlet"),
        _run("R2", "distribution_box", "downstream", "capped", None, "outlet"),
    )
    assert sum(text == "distribution box" for text, *_ in _words(svg)) == 1


def test_two_boxes_that_were_told_apart_are_not_joined_by_guess() -> None:
    runs = (
        _run("R1", "septic_tank", "downstream", "reached", "distribution_box", "outlet"),
        *(
            Run(
                id=f"R{n}", start=RunStart(structure="distribution_box", label=label), direction="downstream", end_m=3.0
            )
            for n, label in ((2, "first"), (3, "second"))
        ),
    )
    boxes = [text for text, *_ in _words(_drawn(*runs)) if text.startswith("distribution box")]
    assert sorted(boxes) == ["distribution box", "distribution box (first)", "distribution box (second)"]


def test_a_line_whose_flow_is_not_known_has_no_arrow_and_is_broken() -> None:
    svg = _drawn(_run("R1", "inspection_opening", None, "cable_limit", None))
    assert 'stroke-dasharray="4 3"' in svg and "line, flow not said" in svg and "line, with the flow" not in svg


def test_a_disused_line_is_drawn_so() -> None:
    row = Observation(run="R1", condition="disused", quote="old line, not used")
    assert "said to be disused" in _drawn(_run("R1", "gully", "downstream", "capped", None), rows=(row,))
    branch = row.model_copy(update={"component": "junction"})
    assert "said to be disused" not in _drawn(_run("R1", "gully", "downstream", "capped", None), rows=(branch,))


def test_it_says_that_it_is_not_to_scale() -> None:
    assert _words(_drawn(_run("R1", "gully", "downstream", "capped", None)))[0][0].startswith("Not to scale.")


def test_places_reached_or_entered_are_not_drawn_again_as_looked_at() -> None:
    view = view_of(visit_record())
    drawing = draw_plan(view.runs, view.places)
    assert drawing is not None
    assert sum("istribution box" in text for text, *_ in _words(drawing.svg)) == 1


@pytest.mark.parametrize("runs", [1, 2, 5, 12])
def test_boxes_stand_apart_and_no_line_runs_through_one(runs: int) -> None:
    view = view_of(record_of(runs, runs=runs, feet=True))
    drawing = draw_plan(view.runs, view.places)
    assert drawing is not None
    root = ElementTree.fromstring(drawing.svg)
    boxes = [
        tuple(float(box.get(name, "0")) for name in ("x", "y", "width", "height"))
        for box in root.iter(f"{SVG}rect")
        if box.get("height") == "22"
    ]
    assert boxes
    for (x, y, w, h), (x2, y2, w2, h2) in itertools.combinations(boxes, 2):
        assert x + w <= x2 or x2 + w2 <= x or y + h <= y2 or y2 + h2 <= y
    assert all(x >= 0 and x + w <= drawing.width for x, _, w, _ in boxes)
    for line in root.iter(f"{SVG}polyline"):
        if line.get("stroke-width") != "1.5":
            continue
        points = [tuple(map(float, point.split(","))) for point in line.get("points", "").split()]
        for (x1, y1), (x2, y2) in itertools.pairwise(points):
            assert x1 == x2 or y1 == y2  # across or down
            for x, y, w, h in boxes:  # a line may touch a box's edge, never its inside
                beside = max(x1, x2) <= x + 1 or min(x1, x2) >= x + w - 1
                apart = max(y1, y2) <= y + 1 or min(y1, y2) >= y + h - 1
                assert beside or apart


def test_runs_that_lead_in_a_circle_are_drawn_all_the_same() -> None:
    svg = _drawn(
        _run("R1", "gully", "downstream", "reached", "manhole"),
        _run("R2", "manhole", "downstream", "reached", "gully"),
    )
    assert {"gully", "manhole"} <= {text for text, *_ in _words(svg)}


def test_nothing_to_draw_is_no_drawing() -> None:
    assert draw_plan((), ()) is None


def test_hostile_names_stay_words() -> None:
    view = view_of(hostile_record())
    drawing = draw_plan(view.runs, view.places)
    assert drawing is not None
    tags = {element.tag.removeprefix(SVG) for element in ElementTree.fromstring(drawing.svg).iter()}
    assert tags <= {"svg", "title", "desc", "defs", "rect", "path", "polyline", "text"}
