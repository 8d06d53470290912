"""What a stage warns of on its way: the cautions that are asked in full, and those that are shown beside a question."""

from collections.abc import Iterable
from typing import Any

from tests.fakes import HandClock
from tests.ui.bench import led

MOST = 4
"""Cautions that are asked before one deed; our choice, after the literature on habituation to warnings."""


def standing(flow: Any) -> tuple[set[str], set[str]]:
    """Return the ids of the cautions that are asked now in full, and of those that are shown."""
    texts = {flow.hand.caution_text(one): one.id for one in flow.hand.stage.cautions}
    card = flow.content()
    asked_now = {texts[line.text] for line in card.cautions if card.cautions_open and line.text in texts}
    return asked_now, {texts[text] for text in card.safety}


def gone_through(flow: Any, lines: Iterable[str], clock: HandClock) -> tuple[dict[str, set[str]], list[set[str]]]:
    """Answer lines; return what is shown at each question, by its key, and each row of cautions that was asked."""
    shown: dict[str, set[str]] = {}
    rows: list[set[str]] = []
    for line in (*lines, None):
        prompt = flow.now()
        assert prompt is not None
        asked_now, shown_now = standing(flow)
        if asked_now and (not rows or rows[-1] != asked_now):
            rows.append(asked_now)
        shown.setdefault(prompt.key, set()).update(shown_now)
        if line is not None:
            led(flow, [line])
            clock.run(60)
    return shown, rows
