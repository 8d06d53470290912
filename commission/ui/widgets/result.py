"""The verdict as it is seen from afar, its one reason, and what stands beside it: warnings and remarks."""

from collections.abc import Sequence

from textual.content import Content

from commission.bench.card import CardContent, VerdictLine, goal_text, verdict_word, warning_text
from commission.ui.widgets.big_word import big_word
from commission.ui.widgets.words import cut, safe, wrap

MOST_REMARKS = 2
"""Remarks that a card shows by itself; our choice: the rest wait behind a word and a key."""
MOST_ASSUMED = 3
"""Rows for what was assumed: that it was is always said, all of it stands behind details. Our choice: a quick hold,
which assumes most, takes three rows of 80 columns."""
WARNING_MARK = "!"
"""Stands in a box before each warning: a mark that needs no colour."""

_GOOD, _BAD, _OPEN = "$success", "$error", "$warning"
_INK = {
    **dict.fromkeys(("pass", "can decide", "best layout"), _GOOD),
    **dict.fromkeys(("fail", "no layout"), _BAD),
    **dict.fromkeys(("running", "open"), "$primary"),  # as beside it in the ladder: nothing is wrong
    "locked": "$text-muted",
}


def result_in(content: CardContent, width: int, rows: int, *, big: bool, plain: bool = False) -> list[Content]:
    """Return the result in so many lines: what was assumed gives way to nothing but the word and reason of a verdict.

    A goal is the same each time, and what was assumed without a look is what a verdict may be wrong by.
    """
    lines = result_lines(content, width, big=big, plain=plain)
    if len(lines) <= rows or rows < 2 or not content.assumed:
        return lines[:rows]
    if content.verdict is None:
        return _assumed_lines(content, width, min(rows, MOST_ASSUMED), plain=plain)
    judged = verdict_lines(content.verdict, width, big=big, plain=plain)[: rows - 1]
    return judged + _assumed_lines(content, width, min(rows - len(judged), MOST_ASSUMED), plain=plain)


def _assumed_lines(content: CardContent, width: int, rows: int, *, plain: bool) -> list[Content]:
    lines = cut(wrap(safe(content.assumed, plain), width), width, rows, plain=plain)
    return [Content.styled(line, _OPEN) for line in lines.split("\n")]


def result_lines(content: CardContent, width: int, *, big: bool, plain: bool = False) -> list[Content]:
    """Return the result in lines: the verdict and its reason, or, before there is one, what the stage proves."""
    missing = f"still missing: {content.missing}" if content.missing else ""
    after = [Content(line) for line in wrap(safe(missing, plain), width)] if missing else []
    if content.assumed:
        after += _assumed_lines(content, width, MOST_ASSUMED, plain=plain)
    if content.verdict is not None:
        return [*verdict_lines(content.verdict, width, big=big, plain=plain), *after]
    goal = wrap(safe(goal_text(content.proves), plain), width) if content.proves else []
    rests = f"not passed: {content.rests_on}" if content.rests_on else ""
    goal += wrap(safe(rests, plain), width) if rests else []
    return [*(Content(line) for line in goal), *after]


def verdict_lines(verdict: VerdictLine, width: int, *, big: bool, plain: bool = False) -> list[Content]:
    """Return a verdict in lines: in large letters where the stage has ended, then its word reversed, and why."""
    word = verdict_word(verdict)
    ink = _INK.get(verdict.word.casefold()) or _INK.get(word.casefold(), _OPEN)
    drawn = big_word(verdict.word, width) if big and verdict.final and not plain else ()
    box = f" {safe(word, plain)} "
    first, *rest = wrap(safe(f"{'x' * len(box)} {verdict.text}", plain), max(1, width))
    boxed = Content.assemble((box[: len(first)], f"bold reverse {ink}"), first[len(box) :])
    return [*(Content.styled(line, f"bold {ink}") for line in drawn), boxed, *(Content(line) for line in rest)]


def warning_lines(warnings: Sequence[str], width: int, *, plain: bool = False) -> list[Content]:
    """Return warnings in lines, each with its mark in a box and its word in capitals."""
    lines: list[Content] = []
    mark = f" {WARNING_MARK} "
    for warning in warnings:
        first, *rest = wrap(safe(warning_text(warning), plain), max(1, width - len(mark) - 1))
        lines.append(Content.assemble((mark, f"bold reverse {_OPEN}"), " ", (first, f"bold {_OPEN}")))
        lines += [Content.styled(f"{' ' * (len(mark) + 1)}{line}", f"bold {_OPEN}") for line in rest]
    return lines


def folded_remarks(content: CardContent, figures: int, most: int, *, unfolded: bool) -> tuple[tuple[str, ...], str]:
    """Return the remarks that are shown, at most so many, and the line that says how to see what is left out.

    Parameters
    ----------
    figures, most
        Figures that are shown, and remarks.
    unfolded
        Whether everything is shown.
    """
    remarks = (*content.remarks, *content.reasons)
    if unfolded:
        return (*content.listed, *remarks), "Tab or details: fewer details again"
    left = max(0, len(remarks) - most) + max(0, len(content.figures) - figures)
    return (*content.listed, *remarks[:most]), f"{left} more: press Tab or type details" if left else ""
