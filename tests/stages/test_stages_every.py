"""The list of stages: it is that of the procedure, and what the faces name is there."""

import ast
import re
from inspect import signature

import click
import pytest
from textual.binding import Binding

from commission.__main__ import job
from commission.bench.face import Command, Face
from commission.procedure.load import default_toml, load_procedure
from commission.shell.main import FIRST, LAST
from commission.ui.app import CommissionApp
from commission.ui.stage_keys import shop_keys, stage_keys
from tests.named_by_faces import by_name

STAGES = job().stages()
COMMANDS = {typed: command for face in STAGES for typed, command in face.commands.items()}


def test_the_stages_of_the_procedure_follow_the_sheet_in_its_order() -> None:
    procedure = load_procedure(default_toml())
    assert [face.id for face in STAGES] == ["build_sheet", *(stage.id for stage in procedure.stages)]


def test_no_name_is_given_twice() -> None:
    typed = [*FIRST, *LAST, *(typed for face in STAGES for typed in face.commands)]
    assert len(typed) == len(set(typed))
    screens = ["record", *(face.id for face in STAGES), *(shop.name for face in STAGES for shop in face.shop)]
    assert len(screens) == len(set(screens))


def test_no_key_is_given_twice() -> None:
    of_stages = [key.key for key, _ in (*stage_keys(STAGES), *shop_keys(STAGES))]
    of_app = [binding.key for binding in CommissionApp.BINDINGS if isinstance(binding, Binding)]
    assert of_stages
    assert len(of_stages + of_app) == len({*of_stages, *of_app})


def test_what_may_run_is_told_by_kinds_that_there_are() -> None:
    words = [word for face in STAGES for span in face.spans for word in (*span.begun, *span.ended)]
    assert words
    assert set(words) <= set(job().registry().kinds)


@pytest.mark.parametrize("typed", COMMANDS)
def test_a_command_is_called_as_its_face_says(typed: str) -> None:
    command: Command = COMMANDS[typed]
    loaded = command.load()
    assert isinstance(loaded, click.Command)
    assert loaded.name == typed.rpartition(" ")[2]
    assert command.told.endswith(".")


@pytest.mark.parametrize("face", STAGES, ids=lambda face: face.id)
def test_what_a_face_names_takes_what_it_is_called_with(face: Face) -> None:
    named = list(by_name(face))
    assert len(named) > 2
    for kind, one in named:
        wanted = next(part for part in ast.walk(ast.parse(kind)) if isinstance(part, ast.List))  # what it is given
        taken = [each for each in signature(one.load()).parameters.values() if each.default is each.empty]
        assert [_type_of(each.annotation) for each in taken] == [ast.unparse(each) for each in wanted.elts], one.target


def _type_of(annotation: object) -> str:
    """Return a type as it is written."""
    text = annotation.__name__ if isinstance(annotation, type) else str(annotation)
    return re.sub(r"\b[a-z_.]+\.(?=[A-Z])", "", text.strip("'\""))
