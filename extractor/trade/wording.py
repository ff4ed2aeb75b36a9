"""Figures as the report prints them: metres, and feet too where the visit spoke feet."""

from extractor.record import Record

FOOT_M = 0.3048  # exact: 16 CFR 500.19 (read); NIST SP 811 appendix B


def metres(value: float | None, record: Record, *, unknown: str = "not known") -> str:
    """ "3.70 m", or "3.70 m (12.1 ft)" where the visit spoke feet."""
    if value is None:
        return unknown
    return f"{value:.2f} m" + (f" ({value / FOOT_M:.1f} ft)" if record.spoken_unit == "ft" else "")


def stretch(from_m: float | None, to_m: float | None, record: Record) -> str:
    """ "3.70 m", "3.70 m to 5.00 m", or "no distance said"."""
    if from_m is None:
        return "no distance said"
    if to_m is None or to_m == from_m:
        return metres(from_m, record)
    return f"{metres(from_m, record)} to {metres(to_m, record)}"


def listed(parts: list[str] | tuple[str, ...]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def plain(value: float, digits: int = 2) -> str:
    """A number without needless zeros: 1.5, 60, 0.25."""
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
