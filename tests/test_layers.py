"""Imports go one way: nothing knows the layers above it."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "extractor"

# Each layer may import itself and the ones before it. Layers on one line are neighbours: none imports the other.
LAYERS: tuple[tuple[str, ...], ...] = (
    ("errors",),
    ("reading", "record"),
    ("narration", "lexicon"),
    ("language",),
    ("survey",),
    ("pipeline",),
    ("job", "trade"),
    ("review", "report", "archive"),
    ("cli",),
    ("__main__",),
)
# The lexicon's phrases and the speech must be cut into words by the same function, and the lexicon is what finds them.
ALLOWED = {("lexicon", "language.tokens")}

LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}


def test_every_import_goes_to_an_earlier_layer() -> None:
    wrong = []
    for path in sorted(PACKAGE.rglob("*.py")):
        layer = _layer(path)
        if layer == "__init__":  # the public face fetches its four names when they are asked for
            continue
        for module, line in _imports(path.read_text(encoding="utf-8")):
            target = module.split(".")[0]
            if (
                target != layer
                and LEVEL[target] >= LEVEL[layer]
                and not any(layer == a and (module + ".").startswith(b + ".") for a, b in ALLOWED)
            ):
                wrong.append(f"{path.relative_to(PACKAGE.parent)}:{line}: {layer} imports {module}")
    assert not wrong, "\n".join(wrong)


def test_every_module_belongs_to_a_layer() -> None:
    assert {_layer(path) for path in PACKAGE.rglob("*.py")} - {"__init__"} <= set(LEVEL)


@pytest.mark.parametrize("name", ["util", "utils", "helper", "helpers", "manager", "common", "base"])
def test_no_module_has_a_name_that_says_nothing(name: str) -> None:
    assert not list(PACKAGE.rglob(f"{name}.py")) + list(PACKAGE.rglob(f"{name}/__init__.py"))


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("from extractor.job.folder import open_job", ["job.folder"]),
        ("import extractor.cli.main", ["cli.main"]),
        ("def late():\n    from extractor.pipeline import extract", ["pipeline"]),
        ("from extractor import record, __version__", ["record"]),
        ("import rich", []),
    ],
)
def test_imports_are_found_wherever_they_stand(source: str, found: list[str]) -> None:
    assert [module for module, _ in _imports(source)] == found


def _layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _imports(source: str) -> list[tuple[str, int]]:
    """(module below `extractor`, line) of each import of the package's own, inside functions too."""
    out = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module == "extractor":
            names = [f"extractor.{alias.name}" for alias in node.names if alias.name != "__version__"]
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, "imports are written in full"
            names = [node.module or ""]
        else:
            continue
        out += [(name.removeprefix("extractor."), node.lineno) for name in names if name.startswith("extractor.")]
    return out
