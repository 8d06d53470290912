"""Style sheets that are parsed once for all apps of a test run: hundreds of apps dress the same widgets."""

from typing import Any

import pytest
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

_parsed: dict[tuple[Any, ...], list[RuleSet]] = {}


def parse_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let an app take the rules that another app has parsed from the same text with the same colours.

    Textual keeps what it parsed for each app alone. Rules are only read once they are parsed.
    """
    parse = Stylesheet._parse_rules

    def parse_or_take(sheet: Stylesheet, css: str, *args: Any, **kwargs: Any) -> list[RuleSet]:
        key = (css, args, tuple(kwargs.items()), frozenset(sheet._variables.items()))
        if key not in _parsed:
            _parsed[key] = parse(sheet, css, *args, **kwargs)
        return _parsed[key]

    monkeypatch.setattr(Stylesheet, "_parse_rules", parse_or_take)
