"""What is imported is declared and what is declared is used; DEVELOPERS.md gives each library's reason."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterable
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
OWN = {"extractor", "tests", *(path.stem for path in (ROOT / "scripts").glob("*.py"))}
# scripts/bench installs these two for itself, since nothing else wants them
ONLY_BENCH = {"negspacy", "quantulum3"}
# run as a command, found by pytest or beautifulsoup4 by its name, or read by the type checker
NEVER_IMPORTED = {"build", "hatchling", "html5lib", "lxml-stubs", "mypy", "pytest-xdist", "ruff", "types-openpyxl"}


def plain(name: str) -> str:
    """A package's name as the index compares it, without extras and versions."""
    return re.sub(r"[-_.]+", "-", re.split(r"[\[<>=!~ ;]", name)[0]).lower()


def names(requirements: Iterable[str]) -> set[str]:
    return {plain(each) for each in requirements}


RUN = names(PROJECT["dependencies"])
EXTRAS = {extra: names(needs) for extra, needs in PROJECT["optional-dependencies"].items()}
DEV = EXTRAS.pop("dev")
FOR_USERS = RUN.union(*EXTRAS.values())


def imported(*folders: str) -> dict[str, set[str]]:
    """Package -> files that import it, inside functions too; by what the environment says of whose module it is."""
    whose = packages_distributions()
    found: dict[str, set[str]] = {}
    for path in (path for folder in folders for path in sorted((ROOT / folder).rglob("*.py"))):
        for module in _modules(ast.parse(path.read_text(encoding="utf-8"))):
            if module not in OWN and module not in sys.stdlib_module_names:
                # distributed is what dask[distributed] brings
                package = plain((whose.get(module) or [module])[0]).replace("distributed", "dask")
                found.setdefault(package, set()).add(path.relative_to(ROOT).as_posix())
    return found


def _modules(tree: ast.Module) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module)
        elif isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            called = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if called in ("import_module", "importorskip"):
                found.add(str(node.args[0].value))
    return {name.split(".")[0] for name in found}


def test_whatever_the_package_imports_is_declared_for_its_users() -> None:
    missing = {package: files for package, files in imported("extractor").items() if package not in FOR_USERS}
    assert not missing


def test_whatever_tests_and_scripts_import_is_declared() -> None:
    declared = RUN | DEV | ONLY_BENCH
    missing = {package: files for package, files in imported("tests", "scripts").items() if package not in declared}
    assert not missing


def test_whatever_is_declared_is_used() -> None:
    assert not FOR_USERS - set(imported("extractor")) - {"dask"}
    assert not DEV - set(imported("tests", "scripts")) - NEVER_IMPORTED


def test_the_guide_gives_the_reason_of_each_library() -> None:
    table = "\n".join(line.split("|")[1] for line in GUIDE.splitlines() if line.count("|") == 7)
    told = {plain(word) for word in re.split(r"[\s,]+", table)}
    assert not (FOR_USERS | DEV) - told


@pytest.mark.parametrize("guide", ["README.md", "DEVELOPERS.md"])
def test_every_file_that_a_guide_names_is_there(guide: str) -> None:
    text = (ROOT / guide).read_text(encoding="utf-8")
    quoted = re.findall(r"`([\w./-]+\.(?:py|toml|md|json|css|typ|svg))(?::[^`]*)?`", text)
    quoted += re.findall(r"\]\(([\w./-]+)\)", text) + re.findall(r"\b(scripts/[\w.-]*\w)", text)
    of_a_job = "job.json record.json record.schema.json visit.toml plan.svg band-1-1.svg".split()
    lost = [name for name in quoted if not _there(name) and name.split("/")[-1] not in of_a_job]
    assert not lost


def _there(name: str) -> bool:
    """In the checkout, in the package, or, for a name alone, anywhere in them."""
    return any((ROOT / top / name).exists() for top in ("", "extractor", "extractor/language")) or (
        "/" not in name and any(any((ROOT / top).rglob(name)) for top in ("extractor", "lexicon", "fixtures"))
    )
