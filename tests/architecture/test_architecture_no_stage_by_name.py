"""Record, storage, bench, screens and commands know stages by their faces: none of them stands there by its id."""

import ast
from collections.abc import Iterator
from pathlib import Path

import commission
from commission.__main__ import job

HOUSE = Path(commission.__file__).parent
ROOMS = ("base", "record", "storage", "bench", "ui", "shell")
IDS = frozenset(face.id for face in job().stages())
IDS_MODULE = "commission.procedure.stage_ids"


def named_in(source: str) -> Iterator[str]:
    """Yield each stage that some code names, and each import of the list of their ids."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Constant(value=str(text)) if text in IDS:
                yield text
            case ast.ImportFrom(module=str(module)) if module == IDS_MODULE:
                yield module
            case ast.Import(names=names):
                yield from (name.name for name in names if name.name == IDS_MODULE)
            case _:
                pass


def test_no_room_but_the_stages_names_a_stage() -> None:
    files = [path for room in ROOMS for path in sorted((HOUSE / room).rglob("*.py"))]
    assert len(files) > 100
    named = {str(path.relative_to(HOUSE)): list(named_in(path.read_text(encoding="utf-8"))) for path in files}
    assert {path: names for path, names in named.items() if names} == {}


def test_the_check_finds_an_id_and_an_import() -> None:
    assert list(named_in('go("pressure_hold")')) == ["pressure_hold"]
    assert list(named_in("from commission.procedure.stage_ids import FILL")) == [IDS_MODULE]
    assert list(named_in('"""The fill."""')) == []
