"""Figures of the house, counted from its text: ``python -m tests.architecture.figures`` prints them."""

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.architecture.parsed import parsed

HOUSE = Path(__file__).parents[2] / "commission"

Class = tuple[str, str]
"""Module and name of a class."""

FROZEN = ("commission.base.frozen", "Frozen")


def sources(top: Path = HOUSE) -> Iterator[tuple[str, ast.Module]]:
    """Yield the dotted name and the tree of each module."""
    for path in sorted(top.rglob("*.py")):
        parts = path.relative_to(top.parent).with_suffix("").parts
        yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), parsed(path)


def code_lines(tree: ast.Module) -> int:
    """Return how many lines of a module are code: no docstrings, no imports, no comments, no blank lines."""
    statements = [node for node in ast.walk(tree) if isinstance(node, ast.stmt)]
    silent = [node for node in statements if isinstance(node, ast.Import | ast.ImportFrom) or _is_text(node)]
    left_out = {line for node in silent for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}
    code = {line for node in ast.walk(tree) if isinstance(node, ast.stmt | ast.expr) for line in _lines(node)}
    return len(code - left_out)


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)


def _lines(node: ast.stmt | ast.expr) -> tuple[int, int]:
    return node.lineno, node.end_lineno or node.lineno


def bases(top: Path = HOUSE) -> dict[Class, list[Class]]:
    """Return each class of the house with those of its bases that are of the house, too."""
    found: dict[Class, list[Class]] = {}
    walked = [(module, list(ast.walk(tree))) for module, tree in sources(top)]
    classes = [(module, node) for module, nodes in walked for node in nodes if isinstance(node, ast.ClassDef)]
    names = {module: _named(nodes) for module, nodes in walked}
    defined = {(module, node.name) for module, node in classes}
    for module, node in classes:
        roots = [_root(base) for base in node.bases]
        ours = [names[module].get(root, (module, root)) for root in roots]
        found[module, node.name] = [one for one in ours if one in defined]
    return found


def _named(nodes: list[ast.AST]) -> dict[str, Class]:
    return {
        alias.asname or alias.name: (node.module or "", alias.name)
        for node in nodes
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }


def _root(base: ast.expr) -> str:
    """Return the name of a base class, whatever it is made of: ``Row[Entry]`` is ``Row``."""
    return ast.unparse(base.value if isinstance(base, ast.Subscript) else base)


def chain(of: Class, known: dict[Class, list[Class]]) -> list[Class]:
    """Return the longest chain of bases of the house over a class, the class first.

    ``Frozen`` is left out: it says how a value is kept, as the library's ``Struct`` under it does, and nothing else.
    """
    above = (base for base in known[of] if base != FROZEN)
    return [of, *max((chain(base, known) for base in above), key=len, default=[])]


def chains(top: Path = HOUSE) -> list[list[Class]]:
    """Return the longest chain over each class, the longest first; a class that stands on none of ours has length 1."""
    known = bases(top)
    return sorted((chain(one, known) for one in known), key=len, reverse=True)


def main() -> None:
    """Print the figures."""
    trees = list(sources())
    print(f"files: {len(trees)}")
    print(f"code lines: {sum(code_lines(tree) for _, tree in trees)}")
    longest = chains()
    print(f"deepest chain of base classes, the class itself counted: {len(longest[0])}")
    for one in longest:
        if len(one) > 2:
            print("  " + " > ".join(name for _, name in one))


if __name__ == "__main__":
    main()
