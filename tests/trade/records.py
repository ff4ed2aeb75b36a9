"""Small records for the tests of the trade's arithmetic, made by hand: a run, a row, a measure in one line each."""

from typing import Any

from extractor.record import Action, Conclusion, Evidence, Measurement, Observation, Record, Run, RunStart, Source


def run(id: str, opening: str | None = None, direction: Any = None, end_m: float | None = None, **fields: Any) -> Run:
    """run("R1", "septic_tank outlet", "downstream", 6.0, end_reason="could_not_pass")"""
    parts = (opening or "").split()
    start = RunStart(
        structure=parts[0] if parts else None,
        port=parts[1] if len(parts) > 1 else None,  # type: ignore[arg-type]
        label=fields.pop("label", None),
    )
    return Run(id=id, start=start, direction=direction, end_m=end_m, **fields)


def row(
    where: str | None,
    what: str,
    from_m: float | None = None,
    to_m: float | None = None,
    **fields: Any,
) -> Observation:
    """row("R1", "joint/root_intrusion", 3.0); row("septic_tank", "crack"); row("R1", "crack", absent=True)"""
    component, _, condition = what.rpartition("/") if "/" in what else (None, "", what)
    if fields.pop("absent", False):
        fields["polarity"] = "absent"
    place = {"run": where} if where and where[0] == "R" and where[1:].isdigit() else {"structure": where}
    fields.setdefault("quote", what)
    return Observation(
        **place, component=component or None, condition=condition or None, from_m=from_m, to_m=to_m, **fields
    )


def feature(where: str, component: str, from_m: float, **fields: Any) -> Observation:
    """A feature noted without a condition."""
    return row(where, f"{component}/", from_m, **fields)


def measure(value: float, unit: Any, role: Any, quote: str = "", **fields: Any) -> Measurement:
    return Measurement(low=value, high=fields.pop("high", value), unit=unit, role=role, quote=quote, **fields)


def record(*parts: Any, text: str = "", spoken_unit: Any = "m") -> Record:
    """A record of these parts. With `text`, each part whose quote stands in it gets its place there as evidence."""

    def placed(part: Any) -> Any:
        at = text.find(part.quote) if text and part.quote else -1
        if at < 0:
            return part
        return part.model_copy(update={"evidence": (Evidence(first_char=at, last_char=at + len(part.quote)),)})

    def of(kind: type[Any], letter: str) -> tuple[Any, ...]:
        found = [placed(part) for part in parts if isinstance(part, kind)]
        return tuple(
            part if part.id else part.model_copy(update={"id": f"{letter}{number}"})
            for number, part in enumerate(found, 1)
        )

    return Record(
        runs=of(Run, "R"),
        observations=of(Observation, "O"),
        measurements=of(Measurement, "M"),
        actions=of(Action, "A"),
        conclusions=of(Conclusion, "C"),
        sources=(Source(name="made by hand", sha256="", text=text),) if text else (),
        spoken_unit=spoken_unit,
    )
