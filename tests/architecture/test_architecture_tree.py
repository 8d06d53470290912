"""The shape of the house: what stands at the top, how long files and functions are, what a file may say."""

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

from tests.architecture.parsed import nodes

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "commission").rglob("*.py"))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "commission", "tests", "schemas", "sample_logs"}
LONGEST_FILE = 400
LONGEST_BODY = 40
VALUES = ("dataclass", "Frozen")
"""By what a class is made that holds fields."""


def tracked() -> list[str]:
    """Return the files that git tracks, or all files where there is no git."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        return listed.stdout.splitlines()
    return [str(path.relative_to(ROOT)) for path in ROOT.rglob("*") if path.is_file() and ".venv" not in path.parts]


def test_the_top_level_holds_what_was_agreed_and_no_more() -> None:
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP


def test_no_source_file_is_too_long_to_read_in_one_go() -> None:
    lines = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in SOURCES}
    assert len(lines) > 500
    assert {name: long for name, long in lines.items() if long > LONGEST_FILE} == {}


def bodies(path: Path) -> Iterator[tuple[str, int]]:
    """Yield each function with the number of lines of its body, without its docstring."""
    for node in nodes(path):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body
            if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant) and len(body) > 1:
                body = body[1:]
            yield f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", (node.end_lineno or 0) - body[0].lineno + 1


def test_no_function_is_longer_than_a_screen() -> None:
    # The fold over the kinds of entry has one arm a kind: it grows with them and stays flat.
    long = [name for path in SOURCES for name, lines in bodies(path) if lines > LONGEST_BODY]
    assert [name for name in long if not name.endswith(" _apply")] == []


def test_every_field_of_a_value_says_what_it_is() -> None:
    silent = []
    for path in SOURCES:
        for node in nodes(path):
            if not isinstance(node, ast.ClassDef) or node.name.startswith("_"):
                continue
            if not any(name in ast.unparse(one) for one in node.decorator_list + node.bases for name in VALUES):
                continue
            for field, after in zip(node.body, [*node.body[1:], None], strict=True):
                if isinstance(field, ast.AnnAssign) and "ClassVar" not in ast.unparse(field.annotation):
                    documented = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
                    if not documented:
                        silent.append(f"{path.relative_to(ROOT)}:{field.lineno} {ast.unparse(field.target)}")
    assert silent == []


def test_what_never_changes_is_frozen_in_one_way() -> None:
    sources = [path for path in SOURCES if path.parent.name != "physics"]  # which stands on the standard library alone
    assert [str(path) for path in sources if "@dataclass(frozen" in path.read_text(encoding="utf-8")] == []


def test_nothing_catches_every_exception() -> None:
    broad = re.compile(r"except\s*(\(?\s*(Base)?Exception\b.*)?:")
    found = []
    for path in SOURCES:
        lines = path.read_text(encoding="utf-8").splitlines()
        for number, line in enumerate(lines, 1):
            after = "\n".join(lines[number : number + 6])
            if broad.search(line.strip()) and "raise" not in after:
                found.append(f"{path.relative_to(ROOT)}:{number}")
    assert found == []


def test_no_tracked_file_holds_a_path_of_some_machine_or_a_registry() -> None:
    own = Path(__file__).name
    machine = re.compile(r"(?<![\w.])/(?:root|home|work)/|pypi\.org|pythonhosted|registry\.npmjs")
    found = []
    for name in tracked():
        path = ROOT / name
        if path.name == own or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        if machine.search(text):
            found.append(name)
    assert found == []
