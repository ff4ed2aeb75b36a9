"""All outputs of one job, made in memory and then written into its reports folder, each whole or not at all."""

import os
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from extractor.errors import ReportError
from extractor.job.folder import Job, record_bytes
from extractor.job.writing import unwritable, write_atomically
from extractor.lexicon.load import Lexicon
from extractor.report.build_view import build_view
from extractor.report.document import Block, Picture, document_blocks
from extractor.report.html import EMBED_BYTES, Recording
from extractor.report.pdf import Paper
from extractor.report.reviewed import Reviewed, reviewed_job
from extractor.report.view import Extras, ReportView
from extractor.report.visit import Logo, Visit, font_folders, load_logo

FORMATS = ("pdf", "html", "docx", "xlsx", "csv", "json", "svg")


@dataclass(frozen=True)
class Wish:
    """What is asked for. `recordings` are in the order of the job's narrations."""

    formats: tuple[str, ...] = FORMATS
    paper: Paper = "a4"
    recordings: tuple[Path, ...] = ()
    visit: Visit = field(default_factory=Visit)
    visit_folder: Path = Path()


@dataclass(frozen=True)
class Made:
    """What was written, and from what."""

    paths: tuple[Path, ...]
    view: ReportView


@dataclass(frozen=True)
class _Material:
    """What every maker is given."""

    reviewed: Reviewed
    view: ReportView
    blocks: tuple[Block, ...]
    logo: Logo | None
    wish: Wish
    recordings: tuple[Recording, ...]


def make_report(job: Job, wish: Wish, lexicon: Lexicon, extras: Callable[[Reviewed], Extras] | None = None) -> Made:
    """Write the outputs into the job's reports folder.

    Raises:
        ReportError: where one can't be made: then none is written.
        JobError: where the folder can't be written.
    """
    if len(wish.recordings) > len(job.narrations):
        raise ReportError(
            f"{len(wish.recordings)} recordings were given, but the job has {len(job.narrations)} narrations.",
            todo="Give them in the order of the narrations.",
        )
    reviewed = reviewed_job(job)
    view = build_view(reviewed, wish.visit, lexicon.label, extras(reviewed) if extras else None)
    material = _Material(
        reviewed=reviewed,
        view=view,
        blocks=document_blocks(view, _stills(view, wish)),
        logo=load_logo(wish.visit, wish.visit_folder),
        wish=wish,
        recordings=_recordings(job, wish),
    )
    made = [file for format in wish.formats for file in _MAKERS[format](material)] + list(view.extras.files)
    folder = _reports_folder(job)
    for name, data in made:
        write_atomically(folder / name, data)
    paths = [folder / name for name, _ in made]
    if "html" in wish.formats:
        for source, recording in zip(wish.recordings, material.recordings, strict=True):
            if recording.data is None:
                paths.append(_put_beside(source, folder / recording.name))
    return Made(tuple(paths), view)


Files = list[tuple[str, bytes]]


def _pdf(material: _Material) -> Files:
    from extractor.report.pdf import pdf_bytes

    wish = material.wish
    fonts = font_folders(wish.visit, wish.visit_folder)
    return [("report.pdf", pdf_bytes(material.view, material.blocks, wish.paper, material.logo, fonts))]


def _html(material: _Material) -> Files:
    from extractor.report.html import html_bytes

    return [("report.html", html_bytes(material.view, material.blocks, material.logo, material.recordings))]


def _docx(material: _Material) -> Files:
    try:
        from extractor.report.docx import docx_bytes
    except ImportError as error:
        raise ReportError(
            "a DOCX needs the package python-docx.", todo="Install it: pip install python-docx"
        ) from error
    return [("report.docx", docx_bytes(material.view, material.blocks, material.wish.paper, material.logo))]


def _xlsx(material: _Material) -> Files:
    try:
        from extractor.report.sheet import xlsx_bytes
    except ImportError as error:
        raise ReportError("an XLSX needs the package xlsxwriter.", todo="Install it: pip install xlsxwriter") from error
    return [("tables.xlsx", xlsx_bytes(material.view))]


def _csv(material: _Material) -> Files:
    from extractor.report.rows_csv import rows_csv

    return [("rows.csv", rows_csv(material.reviewed.record))]


def _json(material: _Material) -> Files:
    from extractor.report.record_json import SCHEMA_NAME, published_schema

    return [("record.json", record_bytes(material.reviewed.record)), (SCHEMA_NAME, published_schema())]


def _svg(material: _Material) -> Files:
    from extractor.report.document import Figure

    return [
        (f"{block.key}.svg", b'<?xml version="1.0" encoding="UTF-8"?>\n' + block.drawing.svg.encode() + b"\n")
        for block in material.blocks
        if isinstance(block, Figure)
    ]


_MAKERS: dict[str, Callable[[_Material], Files]] = {
    "pdf": _pdf,
    "html": _html,
    "docx": _docx,
    "xlsx": _xlsx,
    "csv": _csv,
    "json": _json,
    "svg": _svg,
}


def _stills(view: ReportView, wish: Wish) -> dict[str, Picture]:
    from extractor.report.stills import is_video, take_stills, wanted_stills

    taken: dict[str, Picture] = {}
    if not {"pdf", "html", "docx"} & set(wish.formats):
        return taken
    for source, path in enumerate(wish.recordings):
        if is_video(path):
            taken |= take_stills(path, wanted_stills(view, source, wish.visit.still_lag_s))
    return taken


def _recordings(job: Job, wish: Wish) -> tuple[Recording, ...]:
    """What the page can play, with the words of its narration."""
    if "html" not in wish.formats:
        return ()
    return tuple(_recording(job, source, path) for source, path in enumerate(wish.recordings))


def _recording(job: Job, source: int, path: Path) -> Recording:
    from extractor.narration.choose import read_bytes

    try:
        data = path.read_bytes() if path.stat().st_size <= EMBED_BYTES else None
    except OSError as error:
        raise ReportError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error
    name = f"recording-{source + 1}{path.suffix.lower()}"
    narration = read_bytes(job.narration_bytes(source), job.card.narrations[source].name)
    words = tuple((word.start_s, word.text) for word in narration.words if word.start_s is not None)
    return Recording(name, data, words)


def _reports_folder(job: Job) -> Path:
    """The job's reports folder; one that leads out of the job is refused."""
    try:
        job.reports.mkdir(exist_ok=True)
    except OSError as error:
        raise unwritable(job.reports, error) from error
    if not job.reports.resolve().is_relative_to(job.folder.resolve()):
        raise ReportError("is a link that leads out of the job folder.", where=str(job.reports))
    return job.reports


def _put_beside(source: Path, target: Path) -> Path:
    """A large recording beside the page: as a second name of the same file where the disk can, else as a copy."""
    unfinished = Path(tempfile.mkdtemp(prefix=".recording.", suffix=".unfinished", dir=target.parent))
    try:
        part = unfinished / target.name
        try:
            os.link(source, part)
        except OSError:
            shutil.copyfile(source, part)
        part.replace(target)
    except OSError as error:
        raise unwritable(target, error) from error
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return target


def wanted_formats(text: str) -> tuple[str, ...]:
    """The formats that "pdf,html" or "all" names, each once.

    Raises:
        ReportError: for one that is not made.
    """
    names: Sequence[str] = [name.strip().lower() for name in text.split(",") if name.strip()]
    if "all" in names or not names:
        return FORMATS
    for name in names:
        if name not in FORMATS:
            raise ReportError(f"there is no format {name!r}.", todo=f"Choose from: {', '.join(FORMATS)}, all.")
    return tuple(dict.fromkeys(names))
