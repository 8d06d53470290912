"""The figures of the house are counted as they say, and those with a limit keep to it."""

import ast
from pathlib import Path

from tests.architecture.figures import chains, code_lines

DEEPEST = 2
"""Longest chain of base classes of ours, the class itself counted; our choice: it is read in two places."""

PLANTED = '''"""Says what it is."""

import os
from planted.low import Base


class Middle(Base[int]):
    """A docstring
    of two lines."""

    number = 1  # a remark


# a comment
class Top(Middle):
    def named(self) -> str:
        """Return it."""
        return os.name
'''


def test_only_code_is_counted() -> None:
    # class, number, class, def, return: five lines; text, imports, comments and blanks are none
    assert code_lines(ast.parse(PLANTED)) == 5


def test_a_chain_is_followed_through_modules_and_generic_bases(tmp_path: Path) -> None:
    house = tmp_path / "planted"
    house.mkdir()
    (house / "__init__.py").write_text("", encoding="utf-8")
    (house / "low.py").write_text("class Base: ...\nclass Alone(Exception): ...\n", encoding="utf-8")
    (house / "high.py").write_text(PLANTED, encoding="utf-8")
    found = [[name for _, name in one] for one in chains(house)]
    assert found[0] == ["Top", "Middle", "Base"]
    assert ["Alone"] in found


def test_no_class_stands_on_more_classes_of_ours_than_agreed() -> None:
    assert [one for one in chains() if len(one) > DEEPEST] == []
