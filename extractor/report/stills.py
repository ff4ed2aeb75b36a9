"""A picture for each finding, taken from the recording at the time of its words.

PyAV reads the video; it is an optional part of the program (pip install "rodnote[stills]") and needs no program
installed by hand. `lag_s` is how long the speaker takes from seeing to saying: the picture is of that much earlier.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from extractor.errors import ReportError
from extractor.report.document import Picture
from extractor.report.view import ReportView, Row

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.video.frame import VideoFrame

WIDTH = 480  # pixels
VIDEO_ENDINGS = frozenset(".mp4 .m4v .mov .mkv .avi .webm .mpg .mpeg .ts .mts .wmv .3gp".split())


@dataclass(frozen=True)
class Still:
    """Which row wants a picture, and the second in the recording."""

    row: Row
    at_s: float


def is_video(path: Path) -> bool:
    return path.suffix.lower() in VIDEO_ENDINGS


def wanted_stills(view: ReportView, source: int, lag_s: float) -> tuple[Still, ...]:
    """Findings (still there or not, stated or doubted) whose words have a time in recording `source`."""
    return tuple(
        Still(row, max(0.0, row.moment.start_s - lag_s))
        for row in view.all_rows()
        if row.trouble and row.moment.start_s is not None and row.moment.source == source
    )


def take_stills(path: Path, wanted: Sequence[Still]) -> dict[str, Picture]:
    """The pictures by the row's number; a time after the recording's end has none.

    Raises:
        ReportError: where PyAV is missing or the file holds no video that it reads.
    """
    try:
        import av
    except ImportError as error:
        raise ReportError(
            "pictures from a recording need the package av.", todo='Install it: pip install "rodnote[stills]"'
        ) from error
    taken: dict[str, Picture] = {}
    try:
        with av.open(str(path)) as container:
            if not container.streams.video:
                raise ReportError("holds no picture.", where=str(path), todo="Give the video, or leave pictures out.")
            for still in sorted(wanted, key=lambda each: each.at_s):
                frame = _frame_at(container, still.at_s)
                if frame is not None:
                    alt = f"Picture from the recording at the words of row {still.row.number}: {still.row.sentence}"
                    taken[still.row.number] = Picture(_jpeg(frame), alt)
    except (OSError, ValueError) as error:
        raise ReportError(f"can't be read as a video: {error}.", where=str(path)) from error
    return taken


def _frame_at(container: "InputContainer", at_s: float) -> "VideoFrame | None":
    """The frame that was on the screen at `at_s`: the last one that starts no later."""
    stream = container.streams.video[0]
    base = stream.time_base or Fraction(1, 1000)
    start = (stream.start_time or 0) * base
    container.seek(int((at_s + start) / base), stream=stream, backward=True)
    shown = None
    for frame in container.decode(stream):
        if frame.time is None:
            continue
        if frame.time - float(start) > at_s + 1e-6:
            return shown or frame
        shown = frame
    ends = float(stream.duration * base) if stream.duration else None
    return shown if shown is not None and ends is not None and at_s <= ends else None


def _jpeg(frame: "VideoFrame") -> bytes:
    import av

    width = min(WIDTH, frame.width) // 2 * 2
    height = max(2, round(frame.height * width / frame.width) // 2 * 2)
    scaled = frame.reformat(width=width, height=height, format="yuvj420p")
    encoder = av.CodecContext.create("mjpeg", "w")
    encoder.width, encoder.height, encoder.pix_fmt = width, height, "yuvj420p"
    encoder.time_base = Fraction(1, 25)
    encoder.options = {"qscale": "4"}
    scaled.pts = None
    return _with_head(b"".join(bytes(packet) for packet in (*encoder.encode(scaled), *encoder.encode(None))))


def _with_head(jpeg: bytes) -> bytes:
    """The same picture with the JFIF head that word processors look for (ITU-T T.871, 10.1)."""
    if jpeg[2:4] == b"\xff\xe0" or not jpeg.startswith(b"\xff\xd8"):
        return jpeg
    return jpeg[:2] + b"\xff\xe0\x00\x10JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00" + jpeg[2:]
