"""Headers and chains as they are written down, set another way, and taken off the sheet."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.ask import command
from commission.bench.deed import Deed, numbered
from commission.stages.fan_headers.model.sheet import complaints_about_chain, complaints_about_header
from commission.stages.fan_headers.typed.chain import chain_text, read_chain
from commission.stages.fan_headers.typed.header import STOPS, header_text, read_header, read_setting

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.record.logged import Logged
    from commission.record.machine.seats import Drive, Header
    from commission.stages.fan_headers.at_hand import HeadersAtHand


def header_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what writing a header down does.

    Raises
    ------
    InputError
        If the line cannot be understood, contradicts itself, or the label is taken.
    """
    header = read_header(text)
    _refuse(complaints_about_header(header, hand.plugged.headers))
    told = f"header {header_text(header)}"
    if header.rating_assumed:
        told += " (no rating typed: look it up in the board's manual)"
    return numbered(
        told,
        lambda: hand.work.seats.add_header(hand.build_id, replace(header, header_id=hand.book.new_id())),
        answer=f"header {header_text(header)}",
    )


def chain_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what writing a chain down does.

    Raises
    ------
    InputError
        If the line cannot be understood, contradicts itself, or the name is taken.
    """
    chain = read_chain(text)
    labels = {header.name.casefold(): header.name for header in hand.plugged.headers}
    unknown = [reach.header for reach in chain.reach if reach.header.casefold() not in labels]
    _refuse(complaints_about_chain(chain, hand.plugged.chains))
    if unknown:
        raise InputError(f"there is no header {', '.join(unknown)} for its cable to reach; write it down first")
    reach = tuple(replace(one, header=labels[one.header.casefold()]) for one in chain.reach)
    chain = replace(chain, reach=reach)
    return numbered(
        f"chain {chain_text(chain)}",
        lambda: hand.work.seats.add_chain(hand.build_id, replace(chain, chain_id=hand.book.new_id())),
    )


def set_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what setting a header another way in the firmware does.

    Raises
    ------
    InputError
        If the line cannot be understood, or the header offers no such mode.
    """
    header, rest = hand.header_named(text)
    setting, _, why = rest.partition("#")
    changed = read_setting(header, setting)
    _refuse(complaints_about_header(changed, hand.plugged.headers))
    told = f"{_settings_text(changed)} from now on; sweeps on it count no longer"
    return numbered(
        told,
        lambda: hand.work.seats.set_header(
            hand.build_id,
            header.header_id,
            set_to=changed.set_to,
            full_speed_lock=changed.full_speed_lock,
            stops=changed.stops,
            why=why.strip(),
        ),
        answer=_settings_text(changed),
    )


def remove_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what taking a header or a chain off the sheet does.

    Raises
    ------
    InputError
        If it is not there, or no reason is given.
    """
    word, rest = command(text, ("header", "chain"))
    if not word:
        raise InputError("type remove header or remove chain, its name, and why")
    remove: Callable[[str, str, str], Logged]
    if word == "header":
        header, why = hand.header_named(rest)
        name, key, remove = header.name, header.header_id, hand.work.seats.remove_header
    else:
        chain, why = hand.chain_named(rest)
        name, key, remove = chain.name, chain.chain_id, hand.work.seats.remove_chain
    why = why.lstrip("# ").strip()
    if not why:
        raise InputError(f"type why {name} is taken off the sheet, after its name")
    return numbered(
        f"take {word} {name} off the sheet: {why}; what was recorded of it stays",
        lambda: remove(hand.build_id, key, why),
        answer=f"{word} {name} is off the sheet: {why}",
    )


def setting_line(header: "Header", drive: "Drive") -> str:
    """Return the line that sets a header to a drive and leaves everything else as it is."""
    words = {cause: word for word, cause in STOPS.items()}
    kept = [*(["lock"] if header.full_speed_lock else []), *(words[cause] for cause in header.stops)]
    return " ".join(["set", header.name, str(drive), *kept])


def _settings_text(header: "Header") -> str:
    parts = [f"set to {header.set_to}" if header.set_to else "setting automatic or not known"]
    parts.append("locked at full speed" if header.full_speed_lock else "no lock at full speed")
    if header.stops:
        parts.append(f"can stop a pump by {', '.join(header.stops)}")
    return f"{header.name}: {', '.join(parts)}"


def _refuse(complaints: "Sequence[str]") -> None:
    if complaints:
        raise InputError(complaints[0])
