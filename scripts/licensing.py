"""The licence of every package that rodnote needs, and whether each is pinned.

    scripts/licences      a table; fails on an unknown licence, on one that binds its users, on a version off the lock,
                          and on an unkept package that is not excused below

What is needed at run time, what the extras need and what development needs are told apart by the names that lead there.
A licence is read from the package's own metadata.
"""

import argparse
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
EXTRAS = ("stills", "archive", "dask", "dev")

# What may be installed beside a program under MIT: permissive, or weak copyleft of whole files that are used as they
# are. "or later" and the like are cut off.
FRIENDLY = {
    *("MIT", "MIT-0", "MIT-CMU", "BSD", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "Apache-2.0", "ISC", "PSF-2.0"),
    *("Python-2.0", "Unlicense", "CC0-1.0", "Zlib", "HPND", "OFL-1.1", "ZPL-2.1", "BSL-1.0", "Unicode-3.0"),
}
WEAK = {"MPL-2.0", "LGPL-2.1", "LGPL-3.0", "LGPL"}
ALONE = {"GPL-3.0-with-GCC-exception", "GCC-exception-3.1"}  # of run-time libraries inside wheels

# Free text of older metadata -> the identifier; compared in lower case
WORDS = (
    (r"mit( license)?|the mit license.*|expat.*", "MIT"),
    (r"apache[- ]?(software )?(license)?,? ?(version )?(2(\.0)?)?", "Apache-2.0"),
    (r"(new |modified |3-clause |\(?bsd-3.*)bsd.*|bsd[- ]3[- ]clause.*", "BSD-3-Clause"),
    (r"bsd( license)?|simplified bsd.*|bsd[- ]2[- ]clause.*", "BSD"),
    (r"isc( license.*)?", "ISC"),
    (r"mozilla public license 2\.0.*|mpl[- ]?2(\.0)?", "MPL-2.0"),
    (r"(gnu )?lesser general public license.*|lgpl.*", "LGPL"),
    (r"python software foundation license|psf.*", "PSF-2.0"),
    (r"the unlicense.*", "Unlicense"),
)
# Metadata that says nothing; read by hand in the licence files that the wheel brings
STATED = {"axe-playwright-python": "MIT AND MPL-2.0"}  # the checker inside (axe-core) is under the second
# Without a release for five years and more (looked at by hand when the lock is renewed): name -> why it may stay
UNKEPT = {
    "docopt": "only num2words' own command line needs it, and that is used by the tests alone",
    "html5lib": "the tests alone read our HTML with it, which it still does by the book",
}
MAY_BE_UNKEPT = ("dev",)


@dataclass(frozen=True)
class Package:
    """A package that is needed: `needed_by` is "run" or the extra that leads to it first."""

    name: str
    version: str
    licence: str
    needed_by: str


def packages() -> Iterator[Package]:
    """Every package that rodnote leads to, each once, run time first."""
    seen: set[tuple[str, str | None]] = set()
    for group in ("run", *EXTRAS):
        waiting = [*_requirements(distribution("rodnote"), None if group == "run" else group)]
        while waiting:
            name, extras = waiting.pop(0)
            try:
                found = distribution(name)
            except PackageNotFoundError:
                continue  # for another system, or an extra that is not installed
            if name == "rodnote":
                continue
            if (name, None) not in seen:
                yield Package(name, found.version, licence_of(found), group)
            for extra in (None, *extras):
                if (name, extra) not in seen:
                    seen.add((name, extra))
                    waiting += _requirements(found, extra)


def _requirements(found: Distribution, extra: str | None) -> Iterator[tuple[str, tuple[str, ...]]]:
    """(name, its extras) of each package that is needed here; for an extra only what that adds."""
    for text in found.requires or ():
        need = Requirement(text)
        always = need.marker is None or need.marker.evaluate({"extra": ""})
        wanted = always if extra is None else not always and need.marker and need.marker.evaluate({"extra": extra})
        if wanted:
            yield canonicalize_name(need.name), tuple(need.extras)


def licence_of(found: Distribution) -> str:
    """An SPDX expression, as far as the metadata gives one; "" where it says nothing that is known."""
    metadata = found.metadata
    if expression := "".join(metadata.get_all("License-Expression") or ()):
        return expression
    said = [
        text.rsplit(" :: ", 1)[-1] for text in metadata.get_all("Classifier") or () if text.startswith("License ::")
    ]
    first_line = ("".join(metadata.get_all("License") or ()).strip().splitlines() or [""])[0]
    for text in (first_line, *said):
        if identifier := identified(text):
            return identifier
    return STATED.get(canonicalize_name(metadata["Name"]), "")


def identified(text: str) -> str:
    """The identifier of a licence that is named in free text, or ""."""
    text = text.strip()
    if is_friendly(text):
        return text
    return next((identifier for words, identifier in WORDS if re.fullmatch(words, text.lower())), "")


def is_friendly(expression: str) -> bool:
    """Whether an SPDX expression lets the package be used by, and installed beside, a program under MIT."""
    plain = expression.replace("(", " ").replace(")", " ")
    return any(all(_known(each) for each in re.split(r"\bAND\b", part)) for part in re.split(r"\bOR\b", plain))


def _known(identifier: str) -> bool:
    main, _, exception = identifier.strip().partition(" WITH ")
    plain = main.strip().removesuffix("-or-later").removesuffix("-only").removesuffix("+")
    return plain in FRIENDLY | WEAK | ALONE or (plain == "GPL-3.0" and exception.strip() in ALONE)


def pinned() -> dict[str, str]:
    """Name -> version of constraints.txt."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pairs = (line.split("==") for line in lines if "==" in line and not line.startswith("#"))
    return {canonicalize_name(name): version.strip() for name, version in pairs}


def troubles(needed: list[Package]) -> Iterator[str]:
    """What is wrong, each in one line."""
    lock = pinned()
    for package in needed:
        if not package.licence:
            yield f"{package.name}: its licence is not known; look it up and state it in scripts/licensing.py"
        elif not is_friendly(package.licence):
            yield f"{package.name}: {package.licence} is not one that we take"
        if package.name in UNKEPT and package.needed_by not in MAY_BE_UNKEPT:
            yield f"{package.name}: is kept by nobody any more, and is needed for more than development"
        if package.name not in lock:
            yield f"{package.name}: is not in constraints.txt (found {package.version})"
        elif lock[package.name] != package.version:
            yield f"{package.name}: {package.version} is installed, constraints.txt has {lock[package.name]}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--versions", action="store_true", help="name==version of each, for scripts/pin; no check")
    wish = parser.parse_args()
    needed = list(packages())
    if wish.versions:
        print("\n".join(f"{package.name}=={package.version}" for package in needed))
        return 0
    for package in sorted(needed, key=lambda each: (("run", *EXTRAS).index(each.needed_by), each.name)):
        print(f"{package.needed_by:8} {package.name:28} {package.version:16} {package.licence or '?'}")
    wrong = list(troubles(needed))
    for line in wrong:
        print(line, file=sys.stderr)
    run = sum(each.needed_by == "run" for each in needed)
    print(f"{len(needed)} packages, {run} of them at run time; {len(wrong)} to look at")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
