"""What is meant by a line that begins with a text which was refused, or typed before: the whole, or what came behind.

Who is refused often types the next line at once. The old text stays, since nothing typed is lost; so what came behind
it is asked about alone, and never stored with the old one unasked.
"""

from collections.abc import Sequence

from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.bench.prompt import Prompt, Said
from commission.bench.taken_as import TakenAs, does, taken_as


class Old(Frozen):
    """The beginning of a line that stood there before the rest was typed."""

    text: str
    """What stood there."""
    refused: bool = True
    """Whether it was refused; else it was typed before the window or screen was left."""


class Meant(Frozen):
    """What Enter does with a line."""

    text: str
    """What is entered, without blanks around it."""
    taken: TakenAs
    """What that is taken as."""
    old: str = ""
    """What stands before it and is left out; empty where the whole line is meant."""

    @property
    def asks(self) -> bool:
        """Whether Enter asks whether it alone is meant; a word that opens a card opens it at once."""
        return bool(self.old) and self.taken.called is None


def meant(prompt: Prompt, line: str, old: Sequence[Old], *, wet_is_a_leak: bool) -> Meant:
    """Return what is meant by a line, of which texts of before are the beginning, the shortest first.

    What came behind an old text is meant alone where it is understood alone. Whoever types a blank first goes on with
    the old text, where the whole is understood; so does whoever types on what was never refused.
    """
    whole = taken_as(prompt, line, wet_is_a_leak=wet_is_a_leak)
    if whole.called is None:
        for one in reversed(old):
            behind = line[len(one.text) :]
            goes_on = not whole.why_not and (behind[:1].isspace() or not one.refused)
            if not behind.strip() or goes_on:
                continue
            alone = taken_as(prompt, behind.strip(), wet_is_a_leak=wet_is_a_leak)
            if not alone.why_not or alone.called is not None:
                return Meant(text=behind.strip(), taken=_before(alone, one.text), old=one.text)
        last = next((one for one in reversed(old) if line[len(one.text) :].strip()), None)
        if whole.why_not and last is not None:
            behind = line[len(last.text) :]
            why = whole.why_not if behind[:1].isspace() else _why(prompt, behind.strip(), wet_is_a_leak=wet_is_a_leak)
            stood = "refused" if last.refused else "typed before"
            whole = TakenAs("", f"behind {clip(last.text)}, {stood}: {why}", None)
    return Meant(text=line.strip(), taken=whole)


def _before(taken: TakenAs, text: str) -> TakenAs:
    """Return what a word calls, with the old text still in the line."""
    if taken.called is None:
        return taken
    before = f"{text} {taken.called.before}".strip() if taken.called.before else text
    return TakenAs(taken.understood, taken.why_not, taken.called._replace(before=before))


def _why(prompt: Prompt, text: str, *, wet_is_a_leak: bool) -> str:
    return taken_as(prompt, text, wet_is_a_leak=wet_is_a_leak).why_not


def said_of(meant: Meant, *, proposed: bool) -> tuple[Said, str]:
    """Return what is said of a line while it stands there; `proposed`: it is empty, and Enter takes the proposal."""
    taken = meant.taken
    if taken.called is not None:
        return Said.UNDERSTOOD, does(taken.called)
    if taken.why_not:
        return Said.NOT_YET, taken.why_not
    if meant.asks:
        return Said.ASKS, f"only {meant.text}?"
    return (Said.PROPOSED if proposed else Said.UNDERSTOOD), taken.understood


def asked_of(meant: Meant) -> str:
    """Return the question whether only the end of a line is meant, as it stands beneath that end."""
    means = "" if meant.taken.understood == meant.text else f" ({meant.taken.understood})"
    return f"{meant.text}?{means} Enter takes it; Esc: back to the whole line"
