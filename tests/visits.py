"""A small record made by hand, for tests that need one without reading a narration."""

from extractor.record import (
    Action,
    Answer,
    Conclusion,
    Evidence,
    Observation,
    Query,
    Record,
    Run,
    RunStart,
    Source,
)

TEXT = "camera in the inlet upstream two point five roots could be a crack after that"


def small_record(*, sha256: str = "0" * 64, name: str = "visit.srt", spoken_unit: str = "m") -> Record:
    """One run with a cleared row, a doubted one without distance and a denied one; one row off the pipe; one query."""

    def said(phrase: str, start_s: float | None) -> tuple[Evidence, ...]:
        first = TEXT.index(phrase)
        return (Evidence(first_char=first, last_char=first + len(phrase), start_s=start_s, end_s=start_s),)

    return Record(
        runs=(
            Run(
                id="R1",
                start=RunStart(structure="septic_tank", port="inlet"),
                direction="upstream",
                end_m=9.4,
                end_reason="could_not_pass",
                quote="camera in the inlet",
                evidence=said("camera in the inlet", 1.5),
            ),
        ),
        observations=(
            Observation(
                id="O1",
                run="R1",
                component="joint",
                condition="root_intrusion",
                from_m=2.5,
                extent="severe",
                outcome="cleared",
                clock=(9, 3),
                quote="two point five roots",
                evidence=said("two point five roots", 62.0),
            ),
            Observation(
                id="O2",
                run="R1",
                condition="crack",
                certainty="tentative",
                quote="could be a crack",
                evidence=said("could be a crack", 3725.0),
            ),
            Observation(
                id="O3", run="R1", condition="grease", polarity="absent", from_m=0, to_m=9.4, quote="after that"
            ),
            Observation(
                id="O4", structure="septic_tank", component="outlet", count=2, approximate=False, quote="inlet"
            ),
        ),
        actions=(Action(id="A1", action="jetting", target="pipe", reach_m=11, result="partial", quote="roots"),),
        conclusions=(Conclusion(id="C1", kind="main_issue", condition="root_intrusion", quote="roots"),),
        queries=(
            Query(
                id="Q1",
                about="a crack with no distance",
                reason="no_distance",
                question="How far along is the crack?",
                answers=(Answer(label="no distance is known", sets={}),),
                row="O2",
                quote="could be a crack",
                evidence=said("could be a crack", 3725.0),
            ),
        ),
        unread=said("after that", 3727.0),
        spoken_unit="ft" if spoken_unit == "ft" else "m",
        sources=(Source(name=name, sha256=sha256, text=TEXT, duration_s=3730.0),),
        lexicon="1" * 64,
        program="rodnote test",
    )
