"""A zip-based document with its entries' dates set to one fixed day, so that the same content makes the same bytes."""

import io
import zipfile

_DAY = (1980, 1, 1, 0, 0, 0)  # the earliest that the format can hold


def with_fixed_dates(document: bytes) -> bytes:
    """The same entries in the same order, each dated alike."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(document)) as source, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.infolist():
            fresh = zipfile.ZipInfo(entry.filename, _DAY)
            fresh.compress_type = zipfile.ZIP_DEFLATED
            fresh.create_system = 3  # the same on every system
            fresh.external_attr = 0o600 << 16
            target.writestr(fresh, source.read(entry))
    return made.getvalue()
