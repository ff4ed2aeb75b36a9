"""Records of a scenario of our own, built for the report's tests: any number of rows, metres or feet, hostile words."""

from extractor.record import (
    Action,
    Answer,
    Conclusion,
    Evidence,
    Measurement,
    Mending,
    Observation,
    Query,
    Record,
    Run,
    RunStart,
    Source,
    SpokenCorrection,
)
from extractor.report.reviewed import Reviewed

HOSTILE = (
    '=HYPERLINK("http://x.invalid","go") <script>alert(1)</script> & </style> ]]> #let x = panic() $x^2$ *b* _i_ \\ @ref '
    "[link] `raw` \u202egnirts\u202c \x00\x07\x1b[31m \ufffe \ud800 مرحبا שלום 测试 😀 {{x}} %s ${y}"
)
LONG_WORD = "w" * 5000

SIGHTS = (
    ("junction", None, "present", "open", None),
    (None, "root_intrusion", "present", "cleared", "severe"),
    ("joint", "displaced_joint", "present", "open", "slight"),
    (None, "crack", "present", "open", None),
    (None, "standing_water", "present", "open", "moderate"),
    ("junction", "sound", "present", "open", None),
    (None, "settled_deposit", "present", "partly_cleared", "slight"),
    ("bend", None, "present", "open", None),
    (None, "grease", "present", "cleared", None),
    (None, "infiltration", "present", "open", None),
)


def evidence(at_s: float, source: int = 0) -> tuple[Evidence, ...]:
    return (Evidence(source=source, first_char=int(at_s) * 3, last_char=int(at_s) * 3 + 9, start_s=at_s, end_s=at_s + 2.5),)


def record_of(rows: int, *, feet: bool = False, length_m: float = 60.0, runs: int = 1) -> Record:
    """A record with `rows` rows in all, spread over `runs` runs of `length_m` metres each."""
    made_runs, observations = [], []
    starts = [
        ("septic_tank", "inlet", "upstream", "reached", "toilet"),
        ("septic_tank", "outlet", "downstream", "reached", "distribution_box"),
        ("distribution_box", "outlet", "downstream", "could_not_pass", None),
        ("inspection_opening", None, None, "cable_limit", None),
        ("gully", None, "downstream", "capped", None),
    ]
    for index in range(runs):
        structure, port, direction, reason, end_at = starts[index % len(starts)]
        made_runs.append(
            Run(
                id=f"R{index + 1}",
                start=RunStart(structure=structure, port=port, label=None if index < len(starts) else str(index)),
                direction=direction,
                end_m=length_m,
                end_reason=reason,
                end_at=end_at,
                quote="in we go",
                evidence=evidence(index * 100.0),
            )
        )
    per_run = [rows // runs + (index < rows % runs) for index in range(runs)]
    for run, many in zip(made_runs, per_run, strict=True):
        for number in range(many):
            component, condition, polarity, outcome, extent = SIGHTS[number % len(SIGHTS)]
            start = round(length_m * (number + 0.5) / many, 2)
            observations.append(
                Observation(
                    id=f"{run.id}.{number}",
                    run=run.id,
                    component=component,
                    condition=condition,
                    from_m=start,
                    to_m=round(min(length_m, start + 1.2), 2) if number % 4 == 3 else None,
                    approximate=number % 5 == 2,
                    polarity=polarity,
                    certainty="tentative" if number % 6 == 3 else "stated",
                    outcome=outcome,
                    extent=extent,
                    clock=(3, 3) if number % 7 == 0 else None,
                    count=None,
                    quote=f"words of row {number}",
                    evidence=evidence(10.0 * number + 3.4),
                )
            )
    return Record(
        runs=tuple(made_runs),
        observations=tuple(observations),
        spoken_unit="ft" if feet else "m",
        sources=(Source(name="visit.srt", sha256="a" * 64, text="words", duration_s=640.0),),
        program="rodnote 0.1.0",
    )


def visit_record() -> Record:
    """A whole visit: two runs, a tank, work, corrections, conclusions, a doubt, a query."""
    run, second = record_of(0, runs=2, length_m=12.5).runs
    rows = (
        Observation(id="o1", run="R1", component="junction", from_m=1.7, clock=(2, 2), quote="junction at one point seven", evidence=evidence(12)),
        Observation(id="o2", run="R1", condition="root_intrusion", from_m=4.2, outcome="cleared", extent="severe", quote="heaps of roots at four point two", evidence=evidence(21)),
        Observation(id="o3", run="R1", condition="crack", from_m=0.0, to_m=4.2, polarity="absent", quote="no cracks to this point", evidence=evidence(26)),
        Observation(id="o4", run="R1", component="joint", condition="open_joint", from_m=6.35, approximate=True, certainty="tentative", quote="joint might be open at about six point three five", evidence=evidence(40)),
        Observation(id="o5", run="R1", condition="sound", from_m=7.0, to_m=12.5, quote="good from seven to the end", evidence=evidence(55)),
        Observation(id="o6", run="R2", condition="standing_water", from_m=3.0, to_m=5.5, extent="moderate", quote="holding water from three to five and a half", evidence=evidence(90)),
        Observation(id="o7", run="R2", condition="settled_deposit", outcome="partly_cleared", quote="some silt", evidence=evidence(99)),
        Observation(id="o8", run="R2", component="bend", from_m=8.0, quote="bend at eight", evidence=evidence(104)),
        Observation(id="o9", structure="septic_tank", component="baffle", condition="missing_part", quote="baffle has gone", evidence=evidence(5)),
        Observation(id="o10", structure="distribution_box", component="outlet", count=3, quote="three outlets", evidence=evidence(130)),
    )  # fmt: skip
    return Record(
        runs=(run, second),
        observations=rows,
        measurements=(
            Measurement(id="m1", low=0.1, high=0.1, unit="m", role="diameter", run="R1", quote="hundred mil", evidence=evidence(9)),
            Measurement(id="m2", low=0.35, high=0.4, unit="m", role="depth", structure="septic_tank", approximate=True, quote="sludge about three fifty to four hundred", evidence=evidence(7)),
            Measurement(id="m3", low=4.2, high=4.2, unit="m", role="chainage", run="R1", quote="four point two", evidence=evidence(21)),
        ),
        actions=(
            Action(id="a1", action="jetting", target="pipe", run="R1", reach_m=5.0, result="done", quote="jetted it to five", evidence=evidence(60)),
            Action(id="a2", action="pump_out", target="septic_tank", result=None, quote="pumped it", evidence=evidence(140)),
        ),
        corrections=(SpokenCorrection(id="c1", withdrawn="outlet", kept="inlet", quote="outlet sorry inlet", evidence=evidence(8)),),
        conclusions=(
            Conclusion(id="k1", kind="main_issue", condition="root_intrusion", quote="roots were the trouble", evidence=evidence(150)),
            Conclusion(id="k2", kind="recommendation", condition="root_intrusion", quote="come back in a year and jet it again", evidence=evidence(155)),
        ),
        queries=(
            Query(id="q1", about="open joint", reason="doubt", question="Is the joint at 6.35 m open?", answers=(Answer(label="Yes"),), row="o4", quote="joint might be open", evidence=evidence(40)),
            Query(id="q2", about="settled deposit", reason="no_distance", question="Where is the silt?", row="o7", quote="some silt", evidence=evidence(99)),
        ),
        mendings=(Mending(heard="routes", read_as="roots", certain=True, evidence=evidence(21)),),
        sources=(Source(name="visit.srt", sha256="b" * 64, text="in we go", duration_s=170.0),),
        program="rodnote 0.1.0",
    )  # fmt: skip


def hostile_record() -> Record:
    """Every free text of the record is hostile."""
    record = visit_record()
    bad = HOSTILE.encode("utf-8", "ignore").decode()
    return record.model_copy(
        update={
            "observations": tuple(
                row.model_copy(update={"quote": bad, "detail": bad if index % 2 else LONG_WORD, "structure_label": bad if row.structure else None})
                for index, row in enumerate(record.observations)
            ),
            "runs": tuple(run.model_copy(update={"start": run.start.model_copy(update={"label": bad}), "end_at": bad}) for run in record.runs),
            "actions": tuple(each.model_copy(update={"target": bad, "quote": LONG_WORD}) for each in record.actions),
            "corrections": (SpokenCorrection(withdrawn=bad, kept=LONG_WORD, quote=bad),),
            "conclusions": tuple(each.model_copy(update={"quote": bad, "condition": bad}) for each in record.conclusions),
            "queries": tuple(each.model_copy(update={"question": bad, "quote": bad}) for each in record.queries),
            "sources": (Source(name=bad, sha256="c" * 64, text=bad),),
            "program": bad,
        }
    )  # fmt: skip


def reviewed(record: Record) -> Reviewed:
    return Reviewed(record)
