"""What a hand-made cable is, before anything is measured on it: plug, wire, pin map, unplugged ends, meter."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip, counted
from commission.bench.ask import Question, asked_once, one_word
from commission.bench.card import Figure
from commission.bench.deed import Deed
from commission.bench.named_file import typed_path
from commission.procedure.connectors import one_to_one
from commission.procedure.pins import Wire
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.cables import CABLE_CAUTION, Cable, CableTest
from commission.stages.first_power.rows.cables import draft_rows, map_text
from commission.stages.first_power.typed.cable import (
    CableLine,
    example_of,
    is_one_to_one,
    pins_left,
    read_cable,
    read_meter,
    read_pins,
)
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.procedure.pins import Connector
    from commission.stages.first_power.at_hand import PowerAtHand

MOST_BYTES = 64 * 1024
"""Size from which a file is no pin map."""


class CableForm:
    """Asks what one cable is; a cable that is measured again keeps what it is.

    Parameters
    ----------
    hand
        The first power-on.
    name
        Which cable.
    known
        The cable as it was described before; None where it was not.
    """

    def __init__(self, hand: "PowerAtHand", name: str, known: Cable | None = None) -> None:
        self.hand = hand
        self.name = name
        self.known = known
        self.line: CableLine | None = None
        self.wires: tuple[Wire, ...] = known.wires if known else ()
        self.typed: tuple[Wire, ...] = ()
        self.unplugged = False
        self.done = False

    def back(self) -> bool:
        """Go back one question; False at the first."""
        if self.unplugged:
            self.unplugged = False
            return True
        if self.known is not None:
            return False
        had = bool(self.wires or self.typed) or self.line is not None
        if self.wires or self.typed:
            self.wires = self.typed = ()
        else:
            self.line = None
        return had

    def question(self) -> Question:
        """Return what is asked now."""
        if self.known is None and self.line is None:
            return self._what()
        if not self.wires:
            return self._map()
        return self._meter() if self.unplugged else self._ends()

    # --- questions -------------------------------------------------------------------------------------------

    def _ask(self, key: str, ask: str, hint: str, example: str, read: "Callable[[str], Deed]") -> Question:
        def deed(text: str) -> Deed:
            return self.hand.aside(text) or read(text)

        return asked_once(deed, key=f"{key} {self.name}", ask=ask, hint=hint, placeholder=example)

    def _what(self) -> Question:
        def read(text: str) -> Deed:
            line = read_cable(text)

            def do() -> None:
                self.line = line

            return Deed(told=line.told, do=do)

        plugs = "24-pin · cpu-4-pin · cpu-8-pin · pcie-6-pin · pcie-6+2-pin · 12-way"
        ask = f'Cable "{self.name}": which plug does it have at the load, which wire size (AWG), how long?'
        return self._ask("cable", ask, f"plugs: {plugs}; a 4+4 is cpu-8-pin", worded(example_of(self.name)), read)

    def _map(self) -> Question:
        assert self.line is not None  # question() asked for it first
        plug = self.line.plug

        def read(text: str) -> Deed:
            pins = read_pins(text, plug, self.typed)
            whole = pins is None or not pins_left(plug, pins)
            wires = pins or (one_to_one(plug) if is_one_to_one(text) else read_map(text, plug))

            def do() -> str:
                self.wires, self.typed = (wires, ()) if whole else ((), wires)
                return told

            number = counted(len(wires), "wire")
            number = number if whole else f"{number}, {len(pins_left(plug, wires))} left"
            told = f"{number}, load > supply: {map_text(wires)}"
            return Deed(told=told, do=do)

        left = pins_left(plug, self.typed)
        if self.typed:
            ask = f"Pin {left[0]} at the load: which pin at the supply? {counted(len(left), 'pin')} left."
        else:
            ask = "Which pin at the supply does each pin lead to, by your supply's own map? Pin by pin, or a file."
        hint = f"{left[0]}>4 or several, {left[0]}>4 {left[-1]}>3 · a file load,supply: map.csv · one to one: seldom so"
        return self._ask(f"map {len(left)}", ask, hint, f"{left[0]}>4", read)

    def _ends(self) -> Question:
        word = one_word("unplugged", "yes")

        def do() -> None:
            self.unplugged = True

        def read(text: str) -> Deed:
            if text.strip().casefold() in ("no", "plugged"):
                raise InputError("an end that is plugged in shows low resistance of its own: unplug both ends")
            word(text)
            return Deed(told="both ends are unplugged", do=do)

        return asked_once(
            read,
            key=f"ends {self.name}",
            ask=f'Unplug both ends of "{self.name}", at the supply too, mains plug out. Enter once both are.',
            hint="A supply or a board at one end shows low resistance of its own.",
            proposal="unplugged",
        )

    def _meter(self) -> Question:
        def read(text: str) -> Deed:
            meter = read_meter(text)
            leads = "four wires: no leads to take off" if meter.four_wire else f"leads {meter.lead_ohm:g} ohm"
            error = f", step {meter.step_ohm:g}, error {meter.accuracy_ohm:g} ohm"

            def do() -> str:
                test = CableTest(cable=self.cable(), meter=meter, unplugged=True)
                self.hand.chosen = Rung.CABLES
                self.hand.work.test_cable(self.hand.build_id, test)
                self.done = True
                return f"{self.name}: {leads}"

            return Deed(told=f"{leads}{error}; taken off every reading" if not meter.four_wire else leads, do=do)

        ask = "Hold the probes together. What does the meter show? Its leads are part of every reading."
        return self._ask("meter", ask, "0.2 · 0.2 ± 0.1 with the meter's own error · four-wire", "0.2", read)

    def cable(self) -> Cable:
        """Return the cable as described."""
        if self.known is not None:
            return self.known
        assert self.line is not None  # question() asked for it first
        return Cable(
            name=self.name,
            connector=self.line.plug,
            wires=self.wires,
            gauge=self.line.gauge,
            length_m=self.line.length_m,
        )

    # --- the card --------------------------------------------------------------------------------------------

    def figures(self) -> tuple[Figure, ...]:
        """Return what is known of the cable so far."""
        return draft_rows(self.name, self.line, self._plug(), self.wires or self.typed)

    def reasons(self) -> tuple[str, ...]:
        """Return the plug's table and its source, and what stands beside every pin table."""
        plug = self._plug()
        table = plug_text(plug) if plug is not None else ()
        return (*((f"Map, load > supply: {map_text(self.wires)}",) if self.wires else ()), *table, CABLE_CAUTION)

    def _plug(self) -> "Connector | None":
        if self.known is not None:
            return self.known.connector
        return self.line.plug if self.line else None


def plug_text(plug: "Connector") -> tuple[str, ...]:
    """Return the pins of a plug in one line, then where the table comes from and what to know of it."""
    pins = " · ".join(f"{pin.name} {pin.net}" for pin in plug.pins)
    return f"Pins of the {plug.title}: {pins}", f"Table: {plug.source}. {plug.note}"


def read_map(text: str, plug: "Connector") -> tuple[Wire, ...]:
    """Return the wires that a file names.

    Raises
    ------
    InputError
        If there is no such file, or it is no small table.
    FileError
        If the table cannot be read.
    """
    from commission.stages.first_power.files.cable_csv import read_pin_map

    path = typed_path(text)
    try:
        found = path.is_file() and path.stat().st_size
    except OSError:
        found = False
    if found is False:
        raise InputError(
            f"{clip(text)} is neither pins such as 1>4 nor a file; type the pins, or the path of the pin map"
        )
    if found > MOST_BYTES:
        raise InputError(f"{clip(path.name)} is too large for a pin map: {found} bytes, {MOST_BYTES} are the most")
    return read_pin_map(path, plug)
