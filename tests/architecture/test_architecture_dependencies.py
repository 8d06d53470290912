"""What the program declares to need is what it imports: no more is installed, nothing comes along by chance."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

from tests.architecture.parsed import nodes

ROOT = Path(__file__).parents[2]
EXTRAS = ("pdf", "serial", "web")
"""Extras of the program itself, which it imports where they are installed."""
CALLED = {"serial": "pyserial"}
"""Packages of extras that are called otherwise than their module."""


def imported(folder: Path) -> set[str]:
    """Return the top-level names of everything that the files of a folder import, inside functions too."""
    names = set()
    for path in folder.rglob("*.py"):
        for node in nodes(path):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module is not None and node.level == 0:
                names.add(node.module.partition(".")[0])
    return names


def packages_of(modules: set[str]) -> set[str]:
    """Return the packages that bring these modules, their names as an index writes them.

    One that is not installed here, as of an extra, is taken to be called as its module is.
    """
    known = packages_distributions()
    third = {name for name in modules if name not in sys.stdlib_module_names and name != "commission"}
    return {plain(package) for name in third for package in known.get(name, [CALLED.get(name, name)])}


def plain(name: str) -> str:
    """Return a package's name as an index compares it: small letters, one hyphen for any run of - _ and dot."""
    return re.sub(r"[-_.]+", "-", name).lower()


def declared() -> set[str]:
    """Return the packages that are installed with the program and its extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"], *(line for one in EXTRAS for line in project["optional-dependencies"][one])]
    return {plain(re.split(r"[<>=!~\[; ]", line, maxsplit=1)[0]) for line in lines}


def test_what_is_imported_is_declared_and_what_is_declared_is_imported() -> None:
    assert packages_of(imported(ROOT / "commission")) == declared()


def test_an_import_inside_a_function_counts_and_the_standard_library_does_not(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text("import os.path\ndef f():\n    from sqlite_utils.db import Table\n")
    (tmp_path / "two.py").write_text("from . import one\nfrom commission.base import a\nimport unheard_of\n")
    assert imported(tmp_path) == {"os", "sqlite_utils", "commission", "unheard_of"}
    assert packages_of(imported(tmp_path)) == {"sqlite-utils", "unheard-of"}
