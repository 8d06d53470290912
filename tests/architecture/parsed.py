"""Files taken apart by Python's own parser, each once for all checks: that takes longer than the checks."""

import ast
from functools import cache
from pathlib import Path


@cache
def parsed(path: Path) -> ast.Module:
    """Return the tree of a file. Nobody may change it."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Return all nodes of a file's tree: to walk through it takes as long as to parse it."""
    return tuple(ast.walk(parsed(path)))
