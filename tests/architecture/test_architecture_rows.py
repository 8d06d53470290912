"""A figure is put into words in one room: `rows` of its stage, or `bench` where all stages share it."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "commission"
FIGURE = "Figure"


def made_in(text: str) -> list[int]:
    """Return the lines in which a figure is made."""
    if FIGURE not in text:  # most files: to parse them all takes longer than the rest
        return []
    calls = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call)]
    return [call.lineno for call in calls if isinstance(call.func, ast.Name) and call.func.id == FIGURE]


def is_rows(path: Path) -> bool:
    """Return whether a file may make figures."""
    parts = path.relative_to(ROOT).parts
    return parts[0] == "bench" or (parts[0] == "stages" and parts[2:] != () and parts[2] in ("rows", "rows.py"))


def test_figures_are_made_in_rows_and_nowhere_else() -> None:
    found = {path: made_in(path.read_text(encoding="utf-8")) for path in ROOT.rglob("*.py")}
    astray = [
        f"{path.relative_to(ROOT)}:{line}" for path, lines in found.items() if not is_rows(path) for line in lines
    ]
    assert astray == []
    assert sum(len(lines) for path, lines in found.items() if is_rows(path)) > 30


@pytest.mark.parametrize(("text", "lines"), [("x = 1\ny = Figure(label='a', value='b')", [2]), ("Figure", [])])
def test_the_check_sees_where_a_figure_is_made(text: str, lines: list[int]) -> None:
    assert made_in(text) == lines


def test_rows_know_no_shell() -> None:
    """What a row says does not depend on where it is printed: signs are folded where a line is let out."""
    rooms = [path for path in ROOT.glob("stages/*/rows*") if path.name in ("rows", "rows.py")]
    files = [file for room in rooms for file in ([room] if room.is_file() else room.rglob("*.py"))]
    assert len(files) > 20
    assert [
        str(file.relative_to(ROOT)) for file in files if "commission.shell" in file.read_text(encoding="utf-8")
    ] == []
