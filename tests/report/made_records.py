"""Records of a scenario of our own, built for the report's tests: any number of rows, metres or feet, hostile words."""

import datetime
import struct
import zlib
from pathlib import Path

from extractor.record import Evidence, Observation, Record, Run, RunStart, Source, SpokenCorrection
from extractor.report.build_view import build_view
from extractor.report.reviewed import Reviewed
from extractor.report.view import ReportView
from extractor.report.visit import Visit

FIXTURES = Path(__file__).parents[2] / "fixtures" / "report"
VISIT = Visit(
    firm="Harbour Lane Drainage (invented)",
    licence="D-0417",
    client="An owner (invented)",
    address="Lot 9, Example Road",
    date=datetime.date(2026, 3, 12),
    purpose="Slow toilet: find out why",
    recipient="The owner",
)

HOSTILE = (
    '=HYPERLINK("http://x.invalid","go") <script>alert(1)</script> & </style> ]]> '
    "#let x = panic() $x^2$ *b* _i_ \\ @ref "
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
    return (
        Evidence(source=source, first_char=int(at_s) * 3, last_char=int(at_s) * 3 + 9, start_s=at_s, end_s=at_s + 2.5),
    )


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
    """A whole visit: two runs, a tank, work, corrections, conclusions, a doubt, two queries."""
    return Record.model_validate_json((FIXTURES / "visit.json").read_bytes())


def hostile_record() -> Record:
    """Every free text of the record is hostile."""
    record = visit_record()
    bad = HOSTILE.encode("utf-8", "ignore").decode()
    rows = tuple(
        row.model_copy(
            update={
                "quote": bad,
                "detail": bad if index % 2 else LONG_WORD,
                "structure_label": bad if row.structure else None,
            }
        )
        for index, row in enumerate(record.observations)
    )
    runs = tuple(
        run.model_copy(update={"start": run.start.model_copy(update={"label": bad}), "end_at": bad})
        for run in record.runs
    )
    return record.model_copy(
        update={
            "observations": rows,
            "runs": runs,
            "actions": tuple(each.model_copy(update={"target": bad, "quote": LONG_WORD}) for each in record.actions),
            "corrections": (SpokenCorrection(withdrawn=bad, kept=LONG_WORD, quote=bad),),
            "conclusions": tuple(
                each.model_copy(update={"quote": bad, "condition": bad}) for each in record.conclusions
            ),
            "queries": tuple(each.model_copy(update={"question": bad, "quote": bad}) for each in record.queries),
            "sources": (Source(name=bad, sha256="c" * 64, text=bad),),
            "program": bad,
        }
    )


def reviewed(record: Record) -> Reviewed:
    return Reviewed(record)


def label(id: str) -> str:
    return id.replace("_", " ")


def view_of(record: Record, visit: Visit = VISIT) -> ReportView:
    return build_view(reviewed(record), visit, label)


def one_pixel() -> bytes:
    """A PNG of one grey pixel, made by the format's own rules (ISO/IEC 15948: chunks with length, type, CRC-32)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0\x80")) + chunk(b"IEND", b"")
    )
