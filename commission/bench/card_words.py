"""How the result and the warnings of a card are worded, the same on the screen and line by line."""

from commission.bench.card import VerdictLine

_COURSE = {"pass": "on course to pass", "fail": "on course to fail", "inconclusive": "running"}
_NO_VERDICT = (
    *("open", "locked", "running", "failed", "overridden"),
    *("can decide", "cannot decide yet", "best layout", "no layout"),
)
"""Words that say where a stage stands, or what a plan can do, and no verdict; they are shown as they are, and small."""


def verdict_word(verdict: VerdictLine) -> str:
    """Return the word of a verdict in capitals: where the stage still runs, what it is on course to.

    >>> verdict_word(VerdictLine(word="pass", text="", final=False))
    'ON COURSE TO PASS'
    """
    word = verdict.word.casefold()
    if verdict.final or word in _NO_VERDICT:
        return verdict.word.upper()
    return _COURSE.get(word, f"{word} so far").upper()


def goal_text(proves: str) -> str:
    """Return what a stage proves as its goal.

    >>> goal_text("Whether it leaks.")
    'Goal: whether it leaks.'
    """
    return f"Goal: {proves[:1].lower()}{proves[1:]}" if proves else ""


def warning_text(warning: str) -> str:
    """Return a warning with its word first and in capitals.

    >>> warning_text("Defect: drip at the pump"), warning_text("the pump is loud: look")
    ('DEFECT: drip at the pump', 'WARNING: the pump is loud: look')
    """
    head, colon, said = warning.partition(": ")
    return f"{head.upper()}{colon}{said}" if colon and " " not in head else f"WARNING: {warning}"
