"""A narration's file name made safe to store under on any system: no paths, no marks that hide, no reserved names."""

import re
import unicodedata
from collections.abc import Iterable

LONGEST_BYTES = 200  # most systems allow 255 bytes; some is left for the endings that temporary files add

# Device names that Windows gives to no file, whatever the ending: "Naming Files, Paths, and Namespaces" (Microsoft)
_DEVICES = re.compile(r"^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)$", re.IGNORECASE)
_FORBIDDEN = re.compile(r'[<>:"|?*]')


def safe_name(name: str) -> str:
    """The last part of `name`, in composed form, with what no system could store replaced by "_".

    >>> safe_name("../../visit: 3?.srt")
    'visit_ 3_.srt'
    """
    last = re.split(r"[/\\]", name)[-1]
    shown = "".join(
        mark for mark in unicodedata.normalize("NFC", last) if unicodedata.category(mark)[0] not in "CZ" or mark == " "
    )
    plain = _FORBIDDEN.sub("_", shown).rstrip(". ").lstrip(" ")
    if plain.startswith("."):
        plain = "_" + plain[1:]
    stem, dot, ending = plain.rpartition(".")
    if not dot:
        stem, ending = plain, ""
    if _DEVICES.match(plain.split(".")[0].rstrip()):
        stem = "_" + stem
    room = LONGEST_BYTES - len((dot + ending).encode())
    if room < 20:  # an ending that long is none
        stem, dot, ending, room = plain, "", "", LONGEST_BYTES
    stem = stem.encode()[:room].decode(errors="ignore")
    return f"{stem}{dot}{ending}" if stem else "narration.txt"


def distinct_names(names: Iterable[str]) -> list[str]:
    """Safe names in the same order, told apart by number where two would be one file ("a.srt" and "A.SRT")."""
    taken: set[str] = set()
    out = []
    for name in map(safe_name, names):
        stem, dot, ending = name.rpartition(".")
        if not dot:
            stem, ending = name, ""
        candidate, number = name, 2
        while candidate.casefold() in taken:
            candidate = f"{stem}-{number}{dot}{ending}"
            number += 1
        taken.add(candidate.casefold())
        out.append(candidate)
    return out
