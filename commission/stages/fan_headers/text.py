"""What an entry about headers, chains and sweeps says in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from commission.base.text import counted
from commission.record.machine.seats import Feed
from commission.record.value_text import note_text
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
    HeadersEntry,
    HeaderSet,
    LayoutChosen,
    LevelSwept,
    SeatEntry,
    SweepAborted,
    SweepBegun,
    SweepEntry,
    SweepTaken,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.record.logged import Logged
    from commission.record.machine.seats import Chain, Drive, Header, StopCause
    from commission.stages.fan_headers.model.sweep import SweepReading


def names_in(entries: Iterable[Logged]) -> dict[str, str]:
    """Return the names of all headers and chains that entries tell of, withdrawn ones too, by their ids."""
    named: dict[str, str] = {}
    for entry in entries:
        match entry.payload:
            case HeaderAdded(header=header):
                named[header.header_id] = header.name
            case ChainAdded(chain=chain):
                named[chain.chain_id] = chain.name
            case _:
                pass
    return named


def headers_text(payload: HeadersEntry, *, names: Mapping[str, str] | None = None) -> str:
    """Return what an entry about headers, chains and sweeps says beside its kind.

    Parameters
    ----------
    payload
        The entry.
    names
        Names of headers and chains by their ids; an id that is not there is left out.
    """
    names = names or {}
    if isinstance(payload, SeatEntry):
        return _seats(payload, names)
    match payload:
        case LayoutChosen(layout=layout, why=why):
            return f"{', '.join(f'{seat.chain} on {seat.header}' for seat in layout.seats)}{note_text(why)}"
        case DutyNoted(left=left):
            speed = f", {left.rpm:g} rpm" if left.rpm is not None else ""
            return f"{left.chain} left at {left.duty_pct:g} %{speed}{f', let be: {left.reason}' if left.reason else ''}"
        case HeadersClosed(attempt=attempt, verdict=verdict):
            chains = "; ".join(f"{each.chain} on {each.header or 'no header'}: {each.said}" for each in verdict.chains)
            return f"attempt {attempt}: {verdict.outcome}; {chains or 'no chains'}"
        case _:
            return _sweeps(payload, names)


def _seats(payload: SeatEntry, names: Mapping[str, str]) -> str:
    match payload:
        case HeaderAdded(header=header):
            return header_text(header)
        case HeaderSet(header_id=header_id, set_to=set_to, full_speed_lock=lock, stops=stops, why=why):
            setting = setting_text(set_to, full_speed_lock=lock, stops=stops)
            return f"{_named(names, header_id)}{setting}{note_text(why)}"
        case HeaderRemoved(header_id=id_, reason=reason) | ChainRemoved(chain_id=id_, reason=reason):
            return f"{_named(names, id_)}{reason}"
        case ChainAdded(chain=chain):
            return chain_text(chain)
        case ChainMoved(
            chain_id=chain_id, header_id=header_id, why=why, start_overridden=start, share_overridden=share, found=found
        ):
            who = names.get(chain_id, "a chain")
            where = "unplugged" if header_id is None else f"on {names.get(header_id, 'a header')}"
            reason = f"; start current overridden: {start}" if start else ""
            reason += f"; share of the rating overridden: {share}" if share else ""
            return f"{who} {'found ' if found else ''}{where}{note_text(why)}{reason}"
        case _ as unreachable:
            assert_never(unreachable)


def header_text(header: Header) -> str:
    """Return a header in one line.

    >>> from commission.record.machine.seats import Drive, Header
    >>> header_text(Header(header_id="", name="SYS 1", pins=4, rating_ma=1000, rating_assumed=True,
    ...     modes=(Drive.PWM, Drive.VOLTAGE), set_to=Drive.PWM))
    'SYS 1, 4 pins, 1000 mA (assumed), pwm or voltage, set to pwm'
    """
    rating = f"{header.rating_ma} mA{' (assumed)' if header.rating_assumed else ''}"
    setting = setting_text(header.set_to, full_speed_lock=header.full_speed_lock, stops=header.stops)
    place = f", {header.place}" if header.place else ""
    return f"{header.name}{place}, {header.pins} pins, {rating}, {' or '.join(header.modes)}, {setting}"


def setting_text(set_to: Drive | None, *, full_speed_lock: bool, stops: Sequence[StopCause]) -> str:
    """Return how a header is set, in a few words."""
    said = f"set to {set_to}" if set_to is not None else "setting not known"
    lock = ", locked at full speed" if full_speed_lock else ""
    can_stop = f"; can stop a pump: {', '.join(stops)}" if stops else ""
    return f"{said}{lock}{can_stop}"


def chain_text(chain: Chain) -> str:
    """Return a chain in one line.

    >>> from commission.record.machine.seats import Chain, Device, Drive
    >>> fan = Device(name="fan", wires=4, steady_ma=200, start_ma=300)
    >>> chain_text(Chain(chain_id="", name="front", devices=(fan, fan), drive=Drive.PWM, reports=1, zone="radiator"))
    'front, 2 devices, 4-wire, pwm, 400 mA steady, 600 mA at start, number 1 reports, radiator'
    """
    wires = "/".join(str(n) for n in sorted({device.wires for device in chain.devices}))
    what = "pump" if chain.pump else counted(len(chain.devices), "device")
    start = f"{chain.start_ma()} mA at start{'' if chain.start_known else ' (default factor)'}"
    facts = [chain.name, what, f"{wires}-wire", str(chain.drive), f"{chain.steady_ma} mA steady", start]
    if chain.feed is not Feed.HEADER:
        facts.append(f"fed {chain.feed}")
    facts.append(f"number {chain.reports} reports" if chain.reports is not None else "none reports")
    if not chain.control_wanted:
        facts.append("at full speed")
    return ", ".join([*facts, *([chain.zone] if chain.zone else [])])


def _sweeps(payload: SweepEntry, names: Mapping[str, str]) -> str:
    match payload:
        case SweepBegun(chain_id=chain_id, header_id=header_id, source=source):
            return f"{_seat(names, chain_id, header_id)}{source}"
        case LevelSwept(readings=readings):
            return level_text(readings)
        case SweepTaken():
            return _taken(payload, names)
        case SweepAborted(chain_id=chain_id, reason=reason):
            return f"{names.get(chain_id, chain_id)}: {reason}"
        case _ as unreachable:
            assert_never(unreachable)


def _taken(payload: SweepTaken, names: Mapping[str, str]) -> str:
    where, verdict = _seat(names, payload.chain_id, payload.header_id), payload.verdict
    same = f"; the very speeds of an earlier sweep of {payload.same_as}, said to be right" if payload.same_as else ""
    done = f"; done since the last failed: {payload.done}" if payload.done else ""
    read = f"{len(payload.sweep.readings)} readings, {payload.source}"
    return f"{where}{verdict.outcome}, {verdict.said}; {read}{same}{done}"


def level_text(readings: Sequence[SweepReading]) -> str:
    """Return the speeds at one duty in a few words.

    >>> from commission.stages.fan_headers.model.sweep import SweepReading
    >>> level_text([SweepReading(duty_pct=80, rpm=1254), SweepReading(duty_pct=80, rpm=None)])
    '80 %: 1254 rpm, no reading'
    """
    if not readings:
        return "nothing read"
    speeds = ", ".join("no reading" if each.rpm is None else f"{each.rpm:g} rpm" for each in readings)
    return f"{readings[0].duty_pct:g} %: {speeds}"


def _seat(names: Mapping[str, str], chain_id: str, header_id: str) -> str:
    chain, header = names.get(chain_id), names.get(header_id)
    return f"{chain} on {header}: " if chain and header else ""


def _named(names: Mapping[str, str], id_: str) -> str:
    return f"{names[id_]}: " if id_ in names else ""
