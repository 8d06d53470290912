"""Every public function of physics says what it takes, gives and refuses, in which unit, and where it comes from."""

import ast
import re
from pathlib import Path

import pytest

from tests.architecture.parsed import parsed

PHYSICS = Path(__file__).parents[2] / "commission" / "physics"
ALLOWED = {"math", "statistics", "typing", "dataclasses", "enum", "collections.abc", "__future__"}
SECTION = re.compile(r"^(\w+)\n-{3,}\n", re.MULTILINE)


def sections(doc: str) -> dict[str, str]:
    """Return the sections of a numpydoc string by name."""
    parts = SECTION.split(doc)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def complaints(function: ast.FunctionDef) -> list[str]:
    """Return what the docstring of a function lacks."""
    doc = ast.get_docstring(function) or ""
    found = sections(doc)
    a = function.args
    names = [arg.arg for arg in (*a.posonlyargs, *a.args, *a.kwonlyargs)]
    names += [f"*{a.vararg.arg}"] if a.vararg else []
    names += [f"**{a.kwarg.arg}"] if a.kwarg else []
    entries = re.split(r"^(?=\S)", found.get("Parameters", ""), flags=re.MULTILINE)[1:]
    documented = [entry.partition("\n")[0].strip() for entry in entries]
    lacks = [] if documented == names else [f"parameters {documented} are not {names}"]
    lacks += [f"{e.split()[0]} has no unit" for e in entries if not re.search(r"\[[^\]]+\]\.\s*$", e)]
    gives_something = not (isinstance(function.returns, ast.Constant) and function.returns.value is None)
    if gives_something and not re.search(r"\[[^\]]+\]", found.get("Returns", "")):
        lacks.append("Returns has no unit")
    lacks += [f"no {name}" for name in ("Raises", "Notes", "Examples") if not found.get(name, "").strip()]
    if ">>>" not in found.get("Examples", ""):
        lacks.append("no doctest")
    if not re.search(r"^Source: \S", doc, re.MULTILINE):
        lacks.append("no source")
    return lacks


def imports(tree: ast.Module) -> set[str]:
    """Return the modules that a file imports, anywhere in it."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add("." * node.level + (node.module or ""))
    return names


@pytest.mark.parametrize("path", sorted(PHYSICS.rglob("*.py")), ids=lambda path: path.stem)
def test_physics_is_documented_and_stands_on_the_standard_library(path: Path) -> None:
    tree = parsed(path)
    own = {name for name in imports(tree) if name.startswith("commission.physics")}
    assert imports(tree) - own <= ALLOWED
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            assert not complaints(node), node.name


def test_the_check_sees_what_is_missing() -> None:
    good = next(
        node
        for node in ast.parse((PHYSICS / "gas.py").read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
    )
    doc = ast.get_docstring(good, clean=False) or ""
    source = ast.unparse(good)
    assert not complaints(good)
    for old, new, words in (
        ("[Pa].\n    barometer_pa", "in pascal.\n    barometer_pa", "gauge_pa has no unit"),
        ("Raises", "Errors", "no Raises"),
        ("Source:", "From:", "no source"),
        (">>>", "...", "no doctest"),
        ("    barometer_pa\n", "    barometer\n", "parameters"),
        ("Absolute pressure [Pa]", "Absolute pressure", "Returns has no unit"),
    ):
        assert doc.count(old) == 1, old
        spoilt = ast.parse(source).body[0]
        assert isinstance(spoilt, ast.FunctionDef)
        spoilt.body[0] = ast.Expr(ast.Constant(doc.replace(old, new)))
        assert any(words in line for line in complaints(spoilt)), old
    assert imports(ast.parse("def f():\n    import numpy\n    from scipy import stats\n")) == {"numpy", "scipy"}
