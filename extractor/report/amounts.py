"""Numbers as the client reads them: metres with feet where the visit spoke feet, times in the recording, ranges.

Every number that stands in a report is written here, once, so that no two outputs round it differently.
"""

FOOT_M = 0.3048  # exact: international yard and pound agreement of 1959
INCH_M = 0.0254


def plain(value: float, places: int = 2) -> str:
    """At most `places` decimals, no trailing zeros, a point whatever the locale.

    >>> plain(12.0), plain(8.0772), plain(-0.001)
    ('12', '8.08', '0')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def metres(value: float, feet: bool = False) -> str:
    """A distance: "8.08 m", or "8.08 m (26.5 ft)" where the visit spoke feet."""
    return f"{plain(value)} m ({plain(value / FOOT_M, 1)} ft)" if feet else f"{plain(value)} m"


def stretch(low: float, high: float, feet: bool = False) -> str:
    """A stretch or a range: "3.15 to 3.9 m (10.3 to 12.8 ft)"."""
    text = f"{plain(low)} to {plain(high)} m"
    return f"{text} ({plain(low / FOOT_M, 1)} to {plain(high / FOOT_M, 1)} ft)" if feet else text


def place(from_m: float | None, to_m: float | None, approximate: bool = False, feet: bool = False) -> str:
    """Where a row is along its run; "" where no distance was said."""
    if from_m is None:
        return ""
    hedge = "about " if approximate else ""
    if to_m is None or to_m == from_m:
        return hedge + metres(from_m, feet)
    return hedge + stretch(min(from_m, to_m), max(from_m, to_m), feet)


def small_length(low: float, high: float, feet: bool = False) -> str:
    """A diameter or a gap: millimetres, and inches where the visit spoke feet."""
    millimetres = _range(low * 1000, high * 1000, 0)
    return f"{millimetres} mm ({_range(low / INCH_M, high / INCH_M, 1)} in)" if feet else f"{millimetres} mm"


def measured(low: float, high: float, unit: str, *, small: bool = False, feet: bool = False) -> str:
    """A measured value in the contract's unit. `small` lengths under a metre are told in millimetres."""
    if unit == "m":
        if small and max(low, high) < 1:
            return small_length(low, high, feet)
        return metres(low, feet) if low == high else stretch(low, high, feet)
    if unit == "ratio":
        return f"1 in {_range(low, high, 1)}"
    return f"{_range(low, high, 2)}{'%' if unit == '%' else ' ' + unit}"


def clock_time(seconds: float | None) -> str:
    """A time in the recording: "2:13", "1:02:13"; "" where the source has no times."""
    if seconds is None:
        return ""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"


def o_clock(hours: tuple[int, int] | None) -> str:
    """Where on the circle: "at 3 o'clock", "from 9 to 3 o'clock"."""
    if hours is None:
        return ""
    first, last = hours
    return f"at {first} o'clock" if first == last else f"from {first} to {last} o'clock"


def _range(low: float, high: float, places: int) -> str:
    return plain(low, places) if low == high else f"{plain(low, places)} to {plain(high, places)}"
