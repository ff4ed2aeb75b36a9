"""visit.toml: what the narration doesn't hold (who, for whom, where, when). Anything left out shows as a placeholder.

firm = "..."            licence = "..."        contact = "..."       logo = "logo.png"
client = "..."          address = "..."        date = 2026-03-12     purpose = "..."
recipient = "..."       technician = "..."     reference = "..."     recording = "..."
still_lag_s = 1.5       # the picture is taken this long before the words
fonts = "fonts"         # a folder with more fonts for the PDF
"""

import datetime
from dataclasses import dataclass
from pathlib import Path

import tomli
from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from extractor.errors import ReportError
from extractor.report.safe_text import clean

LARGEST_BYTES = 1_000_000
LARGEST_LOGO_BYTES = 5_000_000
LOGO_ENDINGS = {".png": b"\x89PNG\r\n\x1a\n", ".jpg": b"\xff\xd8\xff", ".jpeg": b"\xff\xd8\xff"}
_MONTHS = "January February March April May June July August September October November December".split()


class Visit(BaseModel):
    """What visit.toml says. Text is one line each, made harmless; "" is the same as not given."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    firm: str = ""
    licence: str = ""
    contact: str = ""
    logo: str = ""
    client: str = ""
    address: str = ""
    date: datetime.date | None = None
    purpose: str = ""
    recipient: str = ""
    technician: str = ""
    reference: str = ""
    recording: str = ""
    still_lag_s: float = Field(default=0.0, ge=-60, le=60)
    fonts: str = ""

    @field_validator(
        "firm",
        "licence",
        "contact",
        "client",
        "address",
        "purpose",
        "recipient",
        "technician",
        "reference",
        "recording",
    )
    @classmethod
    def _harmless(cls, text: str) -> str:
        return clean(text)

    @property
    def day(self) -> str:
        """The date with its month in words, so that no reader takes day for month; "" where not given."""
        return f"{self.date.day} {_MONTHS[self.date.month - 1]} {self.date.year}" if self.date else ""


@dataclass(frozen=True)
class Logo:
    """The firm's picture as read: `ending` is .png or .jpg."""

    data: bytes
    ending: str


def load_visit(path: Path) -> Visit:
    """Read a visit.toml.

    Raises:
        ReportError: naming the file and the field that is wrong.
    """
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise ReportError("is larger than a megabyte.", where=str(path), todo="Look at what it holds.")
        fields = tomli.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise ReportError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error
    except (ValueError, RecursionError) as error:  # no UTF-8, no TOML, a number or a nesting without end
        raise ReportError(f"is no valid TOML: {error}.", where=str(path), todo="Mend that place.") from error
    if isinstance(fields.get("date"), datetime.datetime):
        fields["date"] = fields["date"].date()
    try:
        return Visit.model_validate(fields)
    except ValidationError as error:
        first = error.errors()[0]
        name = clean(".".join(str(part) for part in first["loc"]))
        if first["type"] == "extra_forbidden":
            known = ", ".join(sorted(Visit.model_fields))
            raise ReportError(f"has no use for {name!r}.", where=str(path), todo=f"It may hold: {known}.") from error
        raise ReportError(f"{name}: {first['msg']}.", where=str(path)) from error


def load_logo(visit: Visit, folder: Path) -> Logo | None:
    """The logo that visit.toml in `folder` names, or None where it names none.

    Raises:
        ReportError: where it is missing, too large or no PNG or JPEG.
    """
    if not visit.logo:
        return None
    path = folder / visit.logo
    start = LOGO_ENDINGS.get(path.suffix.lower())
    try:
        if not path.resolve().is_relative_to(
            folder.resolve()
        ):  # a job from elsewhere must not show what lies about here
            raise ReportError(
                "the logo lies outside of its folder.", where=str(path), todo="Copy it beside visit.toml."
            )
        data = path.read_bytes() if start and path.stat().st_size <= LARGEST_LOGO_BYTES else b""
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ReportError(f"the logo can't be read: {reason.lower()}.", where=str(path)) from error
    if start is None or not data.startswith(start):
        raise ReportError(
            "the logo is no PNG or JPEG of at most 5 MB.", where=str(path), todo="Give one, or take the line out."
        )
    return Logo(data, ".png" if start == LOGO_ENDINGS[".png"] else ".jpg")


def font_folders(visit: Visit, folder: Path) -> tuple[Path, ...]:
    """The folder with more fonts that visit.toml in `folder` names, where it names one.

    Raises:
        ReportError: where it is no folder.
    """
    if not visit.fonts:
        return ()
    found = folder / visit.fonts
    try:
        there = found.is_dir() and found.resolve().is_relative_to(folder.resolve())
    except ValueError:  # a name that no system can hold
        there = False
    if not there:
        raise ReportError("there is no such folder of fonts.", where=str(found), todo="Mend fonts in visit.toml.")
    return (found,)
