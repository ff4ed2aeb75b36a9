"""Nothing that rodnote needs may bind those who use it, nor be missing from the lock."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _script() -> ModuleType:
    """The script as a module: scripts/ is no package."""
    path = Path(__file__).parents[1] / "scripts" / "licensing.py"
    spec = importlib.util.spec_from_file_location("licensing", path)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["licensing"] = module
    spec.loader.exec_module(module)
    return module


licensing = _script()


def test_every_package_has_a_licence_that_we_take_and_is_in_the_lock() -> None:
    needed = list(licensing.packages())
    assert {"spacy", "numpy", "textual", "pytest", "linkify-it-py"} <= {package.name for package in needed}
    lock = licensing.pinned()
    for package in needed:
        assert licensing.is_friendly(package.licence), f"{package.name}: {package.licence or 'no licence found'}"
        assert package.name in lock, f"{package.name} is not in constraints.txt"


@pytest.mark.parametrize(
    ("expression", "friendly"),
    [
        ("MIT", True),
        ("Apache-2.0 OR GPL-2.0-only", True),
        ("(MIT OR GPL-3.0-only) AND BSD-3-Clause", True),
        ("GPL-3.0-or-later WITH GCC-exception-3.1", True),
        ("MIT AND GPL-3.0-only", False),
        ("AGPL-3.0-or-later", False),
        ("LicenseRef-Proprietary", False),
        ("", False),
    ],
)
def test_which_licences_are_taken(expression: str, friendly: bool) -> None:
    assert licensing.is_friendly(expression) is friendly


@pytest.mark.parametrize(
    ("text", "identifier"),
    [
        ("MIT License", "MIT"),
        ("Apache Software License", "Apache-2.0"),
        ("Apache License, Version 2.0", "Apache-2.0"),
        ("BSD 3-Clause License", "BSD-3-Clause"),
        ("Mozilla Public License 2.0 (MPL 2.0)", "MPL-2.0"),
        ("GNU General Public License v3 (GPLv3)", ""),
        ("Other/Proprietary License", ""),
    ],
)
def test_older_metadata_is_read(text: str, identifier: str) -> None:
    assert licensing.identified(text) == identifier


def test_a_version_off_the_lock_and_an_unkept_package_at_run_time_are_told() -> None:
    told = list(licensing.troubles([licensing.Package("docopt", "0.6.1", "MIT", "run")]))
    assert any("constraints.txt has 0.6.2" in line for line in told)
    assert any("kept by nobody" in line for line in told)
