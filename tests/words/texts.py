"""Every text that a person may read, gathered from the source: what is raised, asked, said, and the procedure."""

from __future__ import annotations

import ast
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HOUSE = Path(__file__).parents[2] / "commission"
_WORD = re.compile(r"[A-Za-z][\w'’-]*")


@dataclass(frozen=True)
class Text:
    """One text and where it stands."""

    where: str
    kind: str
    """``refusal``, ``caution``, ``procedure`` or ``said``."""
    text: str

    @property
    def words(self) -> int:
        """How many words it has; a value in braces counts as one."""
        return len(self.text.split())

    @property
    def sentences(self) -> list[str]:
        """Its sentences; a semicolon or a colon before a new clause does not end one."""
        return [one for one in re.split(r"(?<=[.?!])\s+", self.text) if one]


@cache
def texts() -> tuple[Text, ...]:
    """Return all of them; a plain word or a name of a thing is no text."""
    found = [one for path in sorted(HOUSE.rglob("*.py")) for one in _of_module(path)]
    return (*found, *_of_procedure())


def _of_module(path: Path) -> list[Text]:
    nodes = list(ast.walk(ast.parse(path.read_text())))
    docs = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    raised = {id(inner) for node in nodes if isinstance(node, ast.Raise) and node.exc for inner in ast.walk(node.exc)}
    joined = [node for node in nodes if isinstance(node, ast.JoinedStr)]
    inside = {id(part) for node in joined for part in ast.walk(node)} - {id(node) for node in joined}
    where = path.relative_to(HOUSE).as_posix()
    found = []
    for node in nodes:
        if id(node) in docs or id(node) in inside:
            continue
        text = _said(node)
        if text is not None and len(_WORD.findall(text)) >= 3 and not _code(text):
            kind = "refusal" if id(node) in raised else "said"
            found.append(Text(f"{where}:{getattr(node, 'lineno', 0)}", kind, text))
    return found


def _said(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return None


def _code(text: str) -> bool:
    """Tell whether it is a query, a style or a pattern and no sentence."""
    return bool(re.search(r"SELECT |CREATE |INSERT |PRAGMA |[{;]\s*\w[\w-]*:\s|\(\?|\\d|\$\w|::", text)) or "\n" in text


def _of_procedure() -> list[Text]:
    told = tomllib.loads((HOUSE / "procedure" / "default.toml").read_text())
    found = []
    for stage in told["stages"]:
        name = f"default.toml {stage['id']}"
        found += [Text(f"{name} {one['id']}", "caution", one["text"]) for one in stage["cautions"]]
        found += [
            Text(f"{name} {one['id']}", "procedure", one[key]) for one in stage["steps"] for key in ("do", "good")
        ]
        found += [Text(f"{name} {key}", "procedure", text) for key, text in stage["help"].items()]
        found.append(Text(f"{name} proves", "procedure", stage["proves"]))
    return found
