"""Voltages and cable readings from a file, in place of typed lines: the screen and the commands take the same."""

from pathlib import Path
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.text import clip, counted
from commission.bench.deed import Deed, said
from commission.bench.doubt import AskAbout
from commission.bench.named_file import read_as_kept, with_comments
from commission.procedure.connectors import one_to_one
from commission.stages.first_power.card.cable_form import read_map
from commission.stages.first_power.model.cables import Cable, CableTest
from commission.stages.first_power.model.rails import PlugKind, RailReading, joined
from commission.stages.first_power.rows.ladder import shown_so_far
from commission.stages.first_power.typed.cable import EXAMPLE, is_one_to_one, read_cable, read_meter
from commission.stages.first_power.typed.rails import plug_called
from commission.stages.first_power.work.cable_doubts import same_readings, same_voltages
from commission.stages.first_power.work.plug_kinds import kind_of

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand
    from commission.stages.first_power.files.readings_csv import ReadingsFile


def cable_file_deed(hand: "PowerAtHand", name: str, path: Path, ask: AskAbout, *, unplugged: bool) -> Deed:
    """Return what the readings of a file do: they join those of the cable, or describe it where it was not known.

    Parameters
    ----------
    hand
        The first power-on.
    name
        Which cable.
    path
        The file; ``-`` is standard input.
    ask
        What becomes of it where another cable showed the very same readings.
    unplugged
        Whether somebody said that both ends are unplugged.

    Raises
    ------
    FileError
        If the file cannot be read.
    InputError
        If it is not known what the cable is, what the meter's leads showed, or that its ends are unplugged.
    """
    from commission.stages.first_power.files.readings_csv import read_readings

    read = read_readings(path)
    test = _whole(hand, name, path, read, unplugged=unplugged)
    other = same_readings(hand.power, test)
    told = f"{counted(len(test.continuity), 'wire')} and {counted(len(test.shorts), 'pair')} of {name}, {path.name}"

    def do() -> str:
        verdict = hand.work.test_cable(hand.build_id, test, same_as=other)
        return f"{told} · {name} {shown_so_far(verdict.outcome)}"

    deed = with_comments(hand, Deed(told=told, do=do), read.comments, path.name)
    return ask(deed, very_readings(path.name, other, "cable "))


def very_readings(what: str, other: str, kind: str = "") -> str:
    """Return what speaks against readings that something else showed before; empty where nothing did."""
    return f"{what} has the very readings of {kind}{clip(other)}, to the last digit" if other else ""


def _whole(hand: "PowerAtHand", name: str, path: Path, read: "ReadingsFile", *, unplugged: bool) -> CableTest:
    """Return the test of a cable with what a file adds to it."""
    known = hand.power.cable(name)
    before = known.test if known is not None else None
    if read.cable:
        cable = _cable(name, read, path)
        before = before if before is not None and before.cable == cable else None
    elif before is not None:
        cable = before.cable
    else:
        raise InputError(f"nothing says what cable {clip(name)} is; add a line to the file: # cable: {EXAMPLE}")
    if not read.meter and before is None:
        raise InputError("what do the leads show when held together? Add a line to the file: # meter: 0.2")
    if not unplugged and (before is None or not before.unplugged):
        raise InputError("an end that is plugged in shows low resistance of its own: unplug both ends, and say so")
    meter = read_meter(read.meter) if read.meter or before is None else before.meter
    wires, pairs = read.against(cable.connector)
    old = before or CableTest(cable=cable, meter=meter, unplugged=True)
    return replace(old, cable=cable, meter=meter, unplugged=True).joined(wires, pairs)


def _cable(name: str, read: "ReadingsFile", path: Path) -> Cable:
    line = read_cable(read.cable)
    if not read.map:
        raise InputError(
            "which pin at the supply does each pin lead to, by your supply's own map? Add a line to the file: "
            "# map: and the pin map's file, or one to one"
        )
    wires = one_to_one(line.plug) if is_one_to_one(read.map) else read_map(str(path.parent / read.map), line.plug)
    return Cable(name=name, connector=line.plug, wires=wires, gauge=line.gauge, length_m=line.length_m)


def rails_file_deed(
    hand: "PowerAtHand", path: Path, ask: AskAbout, *, delay_ms: float | None = None, columns: str = ""
) -> Deed:
    """Return what the voltages of a file do: they join those that were read, a plug and a rail once.

    Parameters
    ----------
    hand
        The first power-on.
    path
        The file; ``-`` is standard input.
    ask
        What becomes of it where the supply showed the very same voltages before it was left, changed or hurt.
    delay_ms
        Delay of PWR_OK [ms]; None where it was not measured now.
    columns
        Which column is which; empty: as this program heads them, or as an instrument of the workshop keeps it.

    Raises
    ------
    FileError
        If the file cannot be read.
    InputError
        If it names another guide than the supply's.
    """
    from commission.stages.first_power.files.rails_csv import read_rails

    shop = () if columns else hand.book.shop().instruments
    read = read_as_kept(shop, lambda named: read_rails(path, columns or named))
    supply, good = hand.power.supply, hand.power.power_good
    if supply is not None and read.revision not in (None, supply.revision):
        raise InputError(f"the file says {read.revision}, the supply was described as {supply.revision}; correct one")
    known = hand.power.plugs_wanted
    fresh = tuple(
        _kind_told(replace(one, plug=plug_called(one.plug, known), meter_error_v=read.meter_error_v))
        for one in read.readings
    )
    plugs = list(dict.fromkeys(one.plug for one in fresh))
    told = f"{counted(len(fresh), 'voltage')} at {', '.join(plugs)}, {path.name}"
    delay = delay_ms if delay_ms is not None else good.delay_ms if good else None
    so_far = joined(hand.power.readings, fresh)
    deed = said(told, lambda: hand.work.read_rails(hand.build_id, so_far, power_good_ms=delay))
    deed = with_comments(hand, deed, read.comments, path.name)
    return ask(deed, very_readings(path.name, same_voltages(hand.power, so_far)))


def _kind_told(reading: RailReading) -> RailReading:
    """Return a reading with the kind of plug that its name tells, where the file says none."""
    return replace(reading, kind=kind_of(reading.plug)) if reading.kind is PlugKind.OTHER else reading
