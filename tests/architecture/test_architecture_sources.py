"""Every number that decides names its source, or says that it is our choice and why, or that practice alone backs it.

The numbers are the limits of the shipped procedure and the constants at the top of the modules that judge. What follows
"our choice:" is the reason; "common practice, no source" is for what the trade does, and never stands beside it.
"""

import ast
import re
from pathlib import Path

import pytest

from commission.procedure.load import default_toml, load_procedure

ROOT = Path(__file__).parents[2] / "commission"
DECIDE = ("model", "entries", "state", "judge", "work")
JUDGES = [
    path
    for path in sorted(ROOT.rglob("*.py"))
    if (parts := path.relative_to(ROOT).with_suffix("").parts)[0] in {"base", "physics", "record", "statistics"}
    or (parts[0] == "stages" and len(parts) > 2 and parts[2] in DECIDE)
]
SAID = re.compile(r"Source: \S.{5}|\bour choice[:.,] .{8}|common practice, no source", re.IGNORECASE | re.DOTALL)
BOTH = re.compile(r"our (own )?choice; common practice|our own;", re.IGNORECASE)
VAGUE = re.compile(r"our (own )?choice(?![:.,] \S)", re.IGNORECASE)
DEFAULT = load_procedure(default_toml())


def decides(value: ast.expr) -> bool:
    """Return whether a number other than 0 stands in a value."""
    found = (node.value for node in ast.walk(value) if isinstance(node, ast.Constant))
    return any(isinstance(each, int | float) and not isinstance(each, bool) and each != 0 for each in found)


def comment_above(lines: list[str], number: int) -> str:
    """Return the comment over a block of lines without a gap; ``number`` is that of one of them, from 1."""
    first = number - 1
    while first > 0 and lines[first - 1].strip():
        first -= 1
    block = lines[first : number - 1]
    return "\n".join(line for line in block if line.startswith("#"))


def unsourced(text: str) -> list[str]:
    """Return the names of the numeric constants of a module that say nothing of where they come from."""
    body, lines = ast.parse(text).body, text.splitlines()
    found = []
    for node, following in zip(body, [*body[1:], None], strict=True):
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None or not decides(node.value):
            continue
        said = comment_above(lines, node.lineno)
        if isinstance(following, ast.Expr) and isinstance(following.value, ast.Constant):
            said = str(following.value.value)  # its own docstring, not the neighbour's comment
        said = re.sub(r"\s+", " ", said.replace("#", ""))
        if not SAID.search(said) or BOTH.search(said) or VAGUE.search(said):
            found.append(ast.unparse(node.target if isinstance(node, ast.AnnAssign) else node.targets[0]))
    return found


def test_every_constant_that_decides_says_where_it_comes_from() -> None:
    silent = {str(path.relative_to(ROOT)): unsourced(path.read_text(encoding="utf-8")) for path in JUDGES}
    assert len(silent) > 200
    assert {name: constants for name, constants in silent.items() if constants} == {}


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ('LEVEL = 0.95\n"""Level [1]."""\n', ["LEVEL"]),
        ("LEVEL = 0.95\n", ["LEVEL"]),
        ("# a remark\n\nLEVEL = 0.95\n", ["LEVEL"]),
        ('LEVEL = 0.95\n"""Level [1]; our own choice."""\n', ["LEVEL"]),
        ('LEVEL = 0.95\n"""Level [1]; our own choice; common practice, no source."""\n', ["LEVEL"]),
        ('LEVEL = 0.95\n"""Level [1]; our choice: rarer than a wrong plug."""\n', []),
        ('LEVEL = 0.95\n"""Level [1]. Source: JCGM 100:2008, G.4.2."""\n', []),
        ('LEVEL = 0.95\n"""Level [1]; common practice, no source."""\n', []),
        ("# Source: IAPWS G7-04, Table 2.\n_TABLE = (1.0, 2.0)\n_OTHER = (3.0,)\n", []),
        ('NAME = "x"\nEMPTY = State(kg=0.0)\nYES = True\n', []),
    ],
)
def test_a_constant_without_a_source_is_found(text: str, names: list[str]) -> None:
    assert unsourced(text) == names


LIMITS = [(stage.id, limit) for stage in DEFAULT.stages for limit in stage.limits]
NAMED = re.compile(r"\d|second-hand|from memory|gas law|common practice, no source|our choice: ", re.IGNORECASE)


@pytest.mark.parametrize(("stage", "limit"), LIMITS, ids=[f"{stage}/{limit.id}" for stage, limit in LIMITS])
def test_every_limit_names_a_document_or_says_our_choice_and_why(stage: str, limit: object) -> None:
    source = str(getattr(limit, "source", ""))
    assert NAMED.search(source), f"{stage}: {source}"
    assert not BOTH.search(source)
    assert not VAGUE.search(source), "the reason follows a colon"


def test_every_limit_is_read_by_its_name() -> None:
    """A limit is asked for by its id, or its stage's rule has a field of that name."""
    named: set[str] = set()
    for path in ROOT.rglob("*.py"):
        named.update(re.findall(r"\w+", path.read_text(encoding="utf-8")))
    assert [f"{stage}/{limit.id}" for stage, limit in LIMITS if limit.id not in named] == []


def test_nothing_in_the_procedure_is_our_choice_without_a_reason() -> None:
    sources = [part.source for part in DEFAULT.typical_parts]
    sources += [each.source for each in DEFAULT.typical_instruments]
    for stage in DEFAULT.stages:
        sources += [each.source for each in stage.cautions]
        sources += [each.source for each in stage.steps]
    assert not [source for source in sources if VAGUE.search(source) or BOTH.search(source)]
