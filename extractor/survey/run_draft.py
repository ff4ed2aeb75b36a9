"""One pass of the camera in the making."""

from dataclasses import dataclass, field

from extractor.survey.scenes import Start


@dataclass
class RunDraft:
    """One pass of the camera in the making; tokens start to end are the words of its start and its end."""

    start: Start
    end_m: float | None = None
    end_reason: str | None = None
    end_at: str | None = None
    spans: list[tuple[int, int]] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)
