"""Which definitions of a package can be reached from its entry points, told from the text of its files alone.

A function is reached when reached code names it. What cannot be told without running is taken as reached: an attribute
``.name`` reaches every method of that name, a string reaches the method that it names, and Textual finds its handlers
by their names. So what is listed as unreached really is; something dead may still hide behind a namesake.
"""

import ast
import enum
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import click
from rich.highlighter import Highlighter
from textual.app import App
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from tests.architecture.parsed import parsed

OUTSIDE = (App, Screen, Widget, Input, Highlighter, click.Group, click.ParamType, enum.Enum, json.JSONEncoder)
"""Classes from outside that ours stand on: they call what we override."""

FOUND_BY_NAME = ("on_", "watch_", "compute_", "validate_", "action_", "key_", "_on_", "_watch_", "visit_", "check_")
"""How the handlers begin that Textual and Python's own visitors look up by name."""

INERT = {
    "lru_cache",
    "cache",
    "dataclass",
    "contextmanager",
    "property",
    "staticmethod",
    "classmethod",
    "wraps",
    "override",
}
"""Decorators that register nothing: what they stand on is reached only where somebody calls it."""

Key = tuple[str, str]
"""Module and qualified name of a definition."""


@dataclass(slots=True)
class Definition:
    """One function, class, method or constant."""

    module: str
    name: str
    line: int
    end: int
    node: ast.AST
    owner: str | None = None
    """The class of a method."""

    @property
    def lines(self) -> int:
        """How many lines it takes."""
        return self.end - self.line + 1


@dataclass(slots=True)
class Module:
    """One file, taken apart."""

    name: str
    names: dict[str, tuple[str, str | None]] = field(default_factory=dict)
    """What each imported name stands for: a module, and the name in it (None: the module itself)."""
    loose: list[ast.stmt] = field(default_factory=list)
    """Statements that run when the module is imported."""
    registered: list[str] = field(default_factory=list)
    """Functions that a decorator hands to somebody else, such as a command to its group."""


class House:
    """A package as definitions and the arrows between them.

    Parameters
    ----------
    root
        Folder of the package.
    """

    def __init__(self, root: Path) -> None:
        self.package = root.name
        self.modules: dict[str, Module] = {}
        self.definitions: dict[Key, Definition] = {}
        self.methods: dict[str, list[Key]] = {}
        self._pending: list[tuple[str, ast.AST, str | None]] = []
        self._reached: set[Key] = set()
        self._opened: set[str] = set()
        self._words: set[str] = set()
        for path in sorted(root.rglob("*.py")):
            self._read(path, root)

    def _read(self, path: Path, root: Path) -> None:
        parts = (self.package, *path.relative_to(root).with_suffix("").parts)
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        module = self.modules[name] = Module(name=name)
        tree = parsed(path)
        for node in ast.walk(tree):
            self._imported(module, node)
        for statement in tree.body:
            self._define(module, statement)

    def _imported(self, module: Module, node: ast.AST) -> None:
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            for alias in node.names:
                module.names[alias.asname or alias.name] = (node.module, alias.name)
        elif isinstance(node, ast.Import):
            for alias in node.names:
                module.names[alias.asname or alias.name.partition(".")[0]] = (alias.name, None)

    def _define(self, module: Module, statement: ast.stmt) -> None:
        if isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef):
            self._add(module, statement.name, statement)
            if any(_registers(decorator) for decorator in statement.decorator_list):
                module.registered.append(statement.name)
        elif isinstance(statement, ast.ClassDef):
            self._add(module, statement.name, statement)
            for inner in statement.body:
                if isinstance(inner, ast.FunctionDef | ast.AsyncFunctionDef):
                    self._add(module, f"{statement.name}.{inner.name}", inner, statement.name)
        elif isinstance(statement, ast.Assign | ast.AnnAssign) and (named := list(_targets(statement))):
            for target in named:
                self._add(module, target, statement)
        elif not isinstance(statement, ast.Import | ast.ImportFrom):
            module.loose.append(statement)

    def _add(self, module: Module, name: str, node: ast.stmt, owner: str | None = None) -> None:
        first = min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", []))])
        found = Definition(module.name, name, first, node.end_lineno or node.lineno, node, owner)
        self.definitions[module.name, name] = found
        if owner is not None:
            self.methods.setdefault(name.rpartition(".")[2], []).append((module.name, name))

    def unreached(self, roots: list[Key]) -> list[Definition]:
        """Return what cannot be reached from the roots, in the order of the files; methods of dead classes left out."""
        for root in roots:
            self._reach(root)
        while self._pending:
            module, node, owner = self._pending.pop()
            self._follow(self.modules[module], node, owner)
        dead = [d for key, d in self.definitions.items() if key not in self._reached and not self._stands_for(d)]
        return sorted(dead, key=lambda d: (d.module, d.line))

    def _stands_for(self, found: Definition) -> bool:
        """Whether it is told by something else: a method by its dead class, or a handler that is found by its name."""
        if found.owner is None:
            return found.name in ("__all__", "__version__")
        if (found.module, found.owner) not in self._reached:
            return True
        short = found.name.rpartition(".")[2]
        return short.startswith("__") and short.endswith("__")

    def _open(self, module: str) -> None:
        parts = module.split(".")
        for length in range(1, len(parts) + 1):
            name = ".".join(parts[:length])
            if name in self.modules and name not in self._opened:
                self._opened.add(name)
                self._pending += [(name, statement, None) for statement in self.modules[name].loose]
                for function in self.modules[name].registered:
                    self._reach((name, function))

    def _reach(self, key: Key) -> None:
        if key in self._reached or key not in self.definitions:
            return
        self._reached.add(key)
        found = self.definitions[key]
        self._open(found.module)
        if isinstance(found.node, ast.ClassDef):
            self._reach_class(found.module, found.node)
        else:
            self._pending.append((found.module, found.node, found.owner))

    def _reach_class(self, module: str, node: ast.ClassDef) -> None:
        foreign = self._stands_on_foreign(module, node)
        for part in (*node.bases, *node.keywords, *node.decorator_list):
            self._pending.append((module, part, None))
        for inner in node.body:
            if not isinstance(inner, ast.FunctionDef | ast.AsyncFunctionDef):
                self._pending.append((module, inner, node.name))
            elif self._is_called_unseen(inner, foreign=foreign):
                self._reach((module, f"{node.name}.{inner.name}"))

    def _is_called_unseen(self, method: ast.FunctionDef | ast.AsyncFunctionDef, *, foreign: bool) -> bool:
        """Whether a method is called without being named: by Python, by Textual, or by words that were met already."""
        name = method.name
        if name in self._words or (name.startswith("__") and name.endswith("__")):
            return True
        handler = name.startswith(FOUND_BY_NAME) or any(_registers(decorator) for decorator in method.decorator_list)
        return handler or (foreign and _overrides(name))

    def _stands_on_foreign(self, module: str, node: ast.ClassDef) -> bool:
        """Whether a class inherits from one that is not ours, be it through others of ours."""
        return any(self._is_foreign(module, base) for base in node.bases)

    def _is_foreign(self, module: str, base: ast.expr) -> bool:
        name = _plain(base)
        if name is None:
            return True
        target, inner = self.modules[module].names.get(name, (module, name))
        if target.partition(".")[0] != self.package:
            return True
        ours = self.definitions.get((target, inner or name))
        return ours is not None and isinstance(ours.node, ast.ClassDef) and self._stands_on_foreign(target, ours.node)

    def _follow(self, module: Module, node: ast.AST, owner: str | None) -> None:
        for inner in ast.walk(node):
            if isinstance(inner, ast.Name):
                self._name(module, inner.id)
            elif isinstance(inner, ast.Attribute):
                self._attribute(module, inner)
            elif isinstance(inner, ast.ImportFrom) and inner.module is not None:
                self._open(inner.module)
            elif isinstance(inner, ast.Constant) and isinstance(inner.value, str):
                self._string(module, inner.value)

    def _name(self, module: Module, name: str) -> None:
        if (module.name, name) in self.definitions:
            self._reach((module.name, name))
        elif name in module.names:
            target, inner = module.names[name]
            self._foreign(target, inner)

    def _foreign(self, module: str, name: str | None) -> None:
        if module not in self.modules:
            return
        self._open(module)
        if name is None:
            return
        if (module, name) in self.definitions:
            self._reach((module, name))
        elif name in self.modules[module].names:
            self._foreign(*self.modules[module].names[name])

    def _attribute(self, module: Module, node: ast.Attribute) -> None:
        base = _plain(node.value)
        if base is not None and base in module.names:
            target, inner = module.names[base]
            whole = target if inner is None else f"{target}.{inner}"
            self._foreign(whole, node.attr)
        self._word(node.attr)

    def _string(self, module: Module, text: str) -> None:
        if text.isidentifier():
            self._word(text)
            self._word(f"action_{text}")
        for part in text.replace("(", ".").split("."):
            if part.isidentifier():
                self._word(f"action_{part}")
        if text.isidentifier():
            self._name(module, text)
        elif "[" in text and len(text) < 200:
            # a type in quotes names classes too
            try:
                self._follow(module, ast.parse(text, mode="eval"), None)
            except SyntaxError:
                return

    def _word(self, name: str) -> None:
        if name in self._words:
            return
        self._words.add(name)
        for module, qualified in self.methods.get(name, []):
            if (module, self.definitions[module, qualified].owner or "") in self._reached:
                self._reach((module, qualified))


def _targets(statement: ast.Assign | ast.AnnAssign) -> Iterator[str]:
    targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
    for target in targets:
        if isinstance(target, ast.Name):
            yield target.id
        elif isinstance(target, ast.Tuple):
            yield from (element.id for element in target.elts if isinstance(element, ast.Name))


def _plain(node: ast.expr) -> str | None:
    if isinstance(node, ast.Subscript):
        node = node.value
    return node.id if isinstance(node, ast.Name) else None


def _registers(decorator: ast.expr) -> bool:
    target = decorator.func if isinstance(decorator, ast.Call) else decorator
    name = target.attr if isinstance(target, ast.Attribute) else _plain(target)
    return name not in INERT and not (isinstance(target, ast.Attribute) and target.attr in ("setter", "getter"))


def _overrides(name: str) -> bool:
    """Whether a class from outside calls a method of this name: Textual, click and the standard library do."""
    return name.startswith("render") or any(hasattr(cls, name) for cls in OUTSIDE)
