"""The package offers four names and nothing else."""

import subprocess
import sys

import extractor


def test_all_names_four_things_in_order() -> None:
    assert extractor.__all__ == sorted(extractor.__all__) == ["Record", "extract", "load_lexicon", "read_narration"]


def test_every_name_can_be_fetched() -> None:
    for name in extractor.__all__:
        assert getattr(extractor, name).__module__.startswith("extractor.")


def test_an_unknown_name_is_an_attribute_error() -> None:
    assert not hasattr(extractor, "anything_else")


def test_importing_the_package_loads_no_library() -> None:
    code = "import sys, extractor; print([m for m in ('spacy', 'pydantic', 'rich', 'typer') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
