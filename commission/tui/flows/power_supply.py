"""The supply: what it is, and its voltages at each plug with no board on it."""

from typing import TYPE_CHECKING

from commission.domain.errors import InputError
from commission.domain.first_power import Rung
from commission.domain.rails import RailReading, Revision
from commission.domain.text import clip
from commission.domain.verdict import Outcome
from commission.tui.flows.ask import Question, some_text
from commission.tui.flows.fill_deed import Deed
from commission.tui.flows.rails_line import EXAMPLE, power_good_ms, read_plug
from commission.tui.widgets.bench_card import Figure
from commission.tui.widgets.do_now import Prompt
from commission.units.show import say

if TYPE_CHECKING:
    from commission.tui.flows.power_base import PowerBase

SUPPLY_EXAMPLE = "Larkspur 850 ATX3"
"""How a supply is typed; the name is invented."""
_NONE = ("none", "no", "-")


class SupplyForm:
    """Asks once for the supply, its guide and the cables that were made by hand."""

    def __init__(self, flow: "PowerBase") -> None:
        self.flow = flow
        self.draft: tuple[str, Revision] | None = None

    def back(self) -> bool:
        """Go back to the first question; False where the form is at its start."""
        had, self.draft = self.draft is not None, None
        return had

    def question(self) -> Question:
        """Return what is asked now."""
        return self._name() if self.draft is None else self._cables(*self.draft)

    def _name(self) -> Question:
        def understand(text: str) -> str:
            name, revision = read_supply(text)
            return f'supply "{name}", judged by the windows of {revision}'

        def act(text: str) -> str:
            self.draft = read_supply(text)
            return ""

        return Question(
            prompt=Prompt(
                key="supply",
                ask="Which supply is it, and which guide does it claim to follow: ATX2 or ATX3?",
                hint="Not sure? ATX2: its windows are the narrower ones.",
                placeholder=SUPPLY_EXAMPLE,
                understand=understand,
            ),
            act=act,
        )

    def _cables(self, name: str, revision: Revision) -> Question:
        def understand(text: str) -> str:
            made = read_names(text)
            return f"made by hand: {', '.join(made)}" if made else "no cable was made or changed by hand"

        def act(text: str) -> str:
            self.flow.book.power.describe_supply(
                self.flow.build_id, name=name, revision=revision, hand_made=read_names(text)
            )
            self.draft = None
            return f'supply "{name}", {revision}'

        return Question(
            prompt=Prompt(
                key="hand made",
                ask="Which cables did you make or change by hand? Names with commas between, or none.",
                hint="An extension or a sleeved set from a shop counts: nobody measured it on this supply.",
                placeholder="24-pin, CPU, GPU 1 · or none",
                understand=understand,
            ),
            act=act,
        )


def read_supply(text: str) -> tuple[str, Revision]:
    """Return name and guide of ``Larkspur 850 ATX3``.

    Raises
    ------
    InputError
        If the guide is missing, or there is no name.

    Examples
    --------
    >>> read_supply("Larkspur 850 atx 3.1")
    ('Larkspur 850', <Revision.ATX3: 'ATX3'>)
    """
    words = text.replace("atx ", "ATX").replace("ATX ", "ATX").split()
    found = [(n, word.casefold()) for n, word in enumerate(words) if word.casefold().startswith("atx")]
    if not found or found[-1][1][3:4] not in ("2", "3"):
        raise InputError(f"type the name and the guide, ATX2 or ATX3: {SUPPLY_EXAMPLE}")
    at, guide = found[-1]
    name = " ".join(words[:at] + words[at + 1 :])
    if not name:
        raise InputError(f"type a name before the guide: {SUPPLY_EXAMPLE}")
    if len(name) > 80:
        raise InputError(f"the name has {len(name)} characters; 80 are the most")
    return name, Revision.ATX2 if guide[3] == "2" else Revision.ATX3


def read_names(text: str) -> tuple[str, ...]:
    """Return the names of a line with commas; none for ``none``.

    Raises
    ------
    InputError
        If nothing is typed, or a name stands twice.

    Examples
    --------
    >>> read_names("24-pin, GPU 1"), read_names("none")
    (('24-pin', 'GPU 1'), ())
    """
    if text.strip().casefold() in _NONE:
        return ()
    names = [" ".join(piece.split()) for piece in text.split(",") if piece.strip()]
    if not names:
        raise InputError("type the names of the cables with commas between, or none")
    twice = [name for n, name in enumerate(names) if name.casefold() in {other.casefold() for other in names[:n]}]
    if twice:
        raise InputError(f"{clip(twice[0])} stands twice; give each cable its own name")
    long = [name for name in names if len(name) > 40]
    if long:
        raise InputError(f"{clip(long[0])} has {len(long[0])} characters; 40 are the most")
    return tuple(names)


class SupplyRung:
    """Takes the voltages of the supply alone, a plug a line; each line is stored."""

    def __init__(self, flow: "PowerBase") -> None:
        self.flow = flow

    def question(self) -> Question:
        """Return what is asked now."""
        rails = self.flow.power.rails
        passed = self.flow.standing(Rung.SUPPLY).outcome is Outcome.PASS
        again = rails is not None and rails.outcome is Outcome.FAIL
        ask = self.flow.step_of("supply_alone").do
        if rails is not None:
            ask = "Type the next plug" + ("; Enter goes on to the pump." if passed else ".")
        if again:
            ask = "A voltage is out. Off, mains out; find why. Then read that plug again: its last reading counts."
        return Question(
            prompt=Prompt(
                key="rails",
                ask=ask,
                hint="every plug, with all digits · loaded: under load · PWR_OK 180 ms, if you can measure it",
                proposal="pump" if passed else None,
                placeholder="" if passed else EXAMPLE,
                understand=lambda text: self.deed(text).told,
            ),
            act=lambda text: self.deed(text).do(),
        )

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or names a rung that is locked.
        """
        there = self.flow.go_to(text)
        if there is not None:
            return there
        word = text.split(maxsplit=1)[0].casefold() if text.split() else ""
        if word == "note":
            return note_deed(self.flow, text)
        delay = power_good_ms(text)
        if delay is not None:
            return self._store((), delay, f"PWR_OK after {delay:g} ms")
        plug = read_plug(text)
        return self._store(plug.readings, None, plug.told)

    def _store(self, new: tuple[RailReading, ...], delay_ms: float | None, told: str) -> Deed:
        rails, good = self.flow.power.rails, self.flow.power.power_good
        fresh = {(each.plug.casefold(), each.rail, each.loaded) for each in new}
        before = tuple(
            row.reading
            for row in (rails.rows if rails else ())
            if (row.reading.plug.casefold(), row.reading.rail, row.reading.loaded) not in fresh
        )
        if not new and not before:
            raise InputError(f"type the voltages of a plug first: {EXAMPLE}")
        delay = delay_ms if delay_ms is not None else good.delay_ms if good else None

        def do() -> str:
            self.flow.book.power.read_rails(self.flow.build_id, (*before, *new), power_good_ms=delay)
            return told

        return Deed(told=told, do=do)

    def figures(self) -> tuple[Figure, ...]:
        """Return every reading with its window, every digit as it was typed."""
        rails, good = self.flow.power.rails, self.flow.power.power_good
        rows = [
            Figure(
                label=f"{row.reading.plug} {row.reading.rail}",
                value=f"{row.reading.typed} V",
                bounds=f"{str(row.outcome).upper()}: {row.window.low_v:g} to {row.window.high_v:g} V",
                remark="common practice, no source" if "common practice" in row.window.source else "",
            )
            for row in (rails.rows if rails else ())
        ]
        if good is not None:
            rows.append(Figure(label="PWR_OK", value=f"{good.delay_ms:g} ms", bounds=f"{good.word}"))
        return tuple(rows)

    def reasons(self) -> tuple[str, ...]:
        """Return why the voltages are judged as they are."""
        rails, good = self.flow.power.rails, self.flow.power.power_good
        said = (*rails.reasons, *rails.findings) if rails else ()
        return (*(say(phrase) for phrase in said), *((say(good.reason),) if good else ()))


def note_deed(flow: "PowerBase", text: str) -> Deed:
    """Return what a note does."""
    note = some_text("the note after the word", 400)(text.split(maxsplit=1)[1] if len(text.split()) > 1 else "")

    def do() -> str:
        flow.book.add_note(flow.build_id, note)
        return f"note: {note}"

    return Deed(told=f"note: {note}", do=do)


