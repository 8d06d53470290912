"""Nothing stands in the house that no command and no screen can reach: code that only tests call proves nothing."""

import ast
from pathlib import Path

from commission.__main__ import job
from commission.shell.main import FIRST, LAST
from tests.architecture.reach import House, Key
from tests.named_by_faces import by_name

ROOT = Path(__file__).parents[2]


def entry_points() -> list[Key]:
    """Return what a person can start, the program without arguments and each command, and what the faces name."""
    stages = job().stages()
    commands = [*FIRST.values(), *LAST.values(), *(one for face in stages for one in face.commands.values())]
    named = [one.target.partition(":") for one in (*commands, *(one for face in stages for _, one in by_name(face)))]
    faces = [(f"commission.stages.{face.id}.stage", "FACE") for face in stages]
    return [("commission.__main__", "main"), *faces, *((module, function) for module, _, function in named)]


def test_everything_is_reached_by_a_command_or_a_screen() -> None:
    house = House(ROOT / "commission")
    assert all(root in house.definitions for root in entry_points())
    assert len(house.definitions) > 1000
    dead = house.unreached(entry_points())
    assert [f"{found.module}:{found.line} {found.name}" for found in dead] == []


PLANTED = {
    "__init__.py": "",
    "start.py": """
from planted.middle import used, Door, Shape
def main() -> None:
    used()
    Shape().drawn()
    Door()
""",
    "middle.py": """
from textual.app import App
from planted import leaf
TABLE = {"a": leaf.by_table}
ALONE = 3
def used() -> None:
    def inner() -> None:
        leaf.deep()
    TABLE["a"]()
    inner()
def unused() -> None:
    only_by_unused()
def only_by_unused() -> None: ...
def calls_itself() -> None:
    calls_itself()
class Shape:
    def drawn(self) -> None:
        self.part()
    def part(self) -> None: ...
    def never(self) -> None: ...
    def __repr__(self) -> str:
        return ""
class Idle:
    def drawn(self) -> None: ...
class Window(App):
    def unasked(self) -> None: ...
    def get_default_screen(self) -> None: ...
class Door(Window):
    def render(self) -> None: ...
    def unasked_too(self) -> None: ...
""",
    "leaf.py": """
def deep() -> None: ...
def by_table() -> None: ...
def left() -> None: ...
""",
}


def test_the_walk_finds_what_is_dead_and_nothing_that_lives(tmp_path: Path) -> None:
    package = tmp_path / "planted"
    package.mkdir()
    for name, text in PLANTED.items():
        ast.parse(text)
        (package / name).write_text(text, encoding="utf-8")
    dead = House(package).unreached([("planted.start", "main")])
    assert [(found.module.rpartition(".")[2], found.name) for found in dead] == [
        ("leaf", "left"),
        ("middle", "ALONE"),
        ("middle", "unused"),
        ("middle", "only_by_unused"),
        ("middle", "calls_itself"),
        ("middle", "Shape.never"),
        ("middle", "Idle"),
        ("middle", "Window.unasked"),
        ("middle", "Door.unasked_too"),
    ]
