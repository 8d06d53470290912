"""Headers and chains from a TOML file, for the question which goes where."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from commission.base.errors import FileError
from commission.base.text import clean, clip
from commission.base.toml_text import read_toml
from commission.instruments.text_lines import standard_input
from commission.record.machine.seats import Drive, Reach, names_a_pump
from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem, complaints

MOST_BYTES = 100_000
"""Largest file that is read; our choice: ten times what the most headers and chains take."""

_DRIVES = {"pwm": Drive.PWM, "voltage": Drive.VOLTAGE, "dc": Drive.VOLTAGE, "fixed": Drive.FIXED}
_TOP = ("share_penalty", "start_override", "header", "chain")
_HEADER = ("name", "rating_ma", "modes", "full_speed_lock")
_CHAIN = ("name", "drive", "steady_ma", "start_ma", "pump", "fans", "cable_cm")
_WATTS = {"rating_w": "rating_ma", "steady_w": "steady_ma", "start_w": "start_ma"}
_AMPERES = {"rating_a": "rating_ma", "steady_a": "steady_ma", "start_a": "start_ma"}


def read_layout_file(path: Path) -> LayoutProblem:
    """Read a file of headers and chains to place; ``-`` reads standard input."""
    return read_layout(standard_input().read(MOST_BYTES + 1) if str(path) == "-" else path)


def read_layout(source: Path | str | bytes) -> LayoutProblem:
    """Return the question that a file asks.

    Parameters
    ----------
    source
        Its path, or its bytes.

    Returns
    -------
    LayoutProblem
        Headers and chains in the order of the file.

    Raises
    ------
    FileError
        If it is no TOML, a key is missing, unknown or of the wrong kind, or the question cannot be asked; one line
        that names the place and what to do.

    Examples
    --------
    >>> text = b'''
    ... share_penalty = 50
    ... [[header]]
    ... name = "SYS1"
    ... rating_ma = 2000
    ... modes = ["pwm", "voltage"]
    ... [[chain]]
    ... name = "front"
    ... drive = "pwm"
    ... steady_ma = 600
    ... [chain.cable_cm]
    ... SYS1 = 15
    ... '''
    >>> problem = read_layout(text)
    >>> problem.chains[0].reach[0].cable_cm, problem.chains[0].start_ma
    (15, None)
    """
    data = _toml(source)
    _refuse_unknown(data, _TOP, "")
    problem = LayoutProblem(
        headers=tuple(_header(one, n) for n, one in enumerate(_tables(data, "header"), 1)),
        chains=tuple(_chain(one, n) for n, one in enumerate(_tables(data, "chain"), 1)),
        share_penalty=_take(data, "share_penalty", "", _whole, 0),
        start_override=_take(data, "start_override", "", _flag, False),
    )
    wrong = complaints(problem)
    if wrong:
        raise FileError(f"{wrong[0]}; correct the file")
    return problem


def _toml(source: Path | str | bytes) -> Mapping[str, Any]:
    try:
        if isinstance(source, bytes):
            data = source
        else:
            with Path(source).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name is not a path"
        raise FileError(f"the file cannot be read: {why}; check its path and permissions") from error
    if len(data) > MOST_BYTES:
        raise FileError(f"it is larger than {MOST_BYTES} bytes; is this a list of headers and chains?")
    try:
        return read_toml(data.decode("utf-8-sig"), most=MOST_BYTES)
    except UnicodeDecodeError as error:
        raise FileError("it is not UTF-8; save it as UTF-8") from error


def _tables(data: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    found = data.get(key, [])
    if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
        raise FileError(f"write each as [[{key}]] with its keys below", field=key)
    if not found:
        raise FileError(f"there is no [[{key}]]; write one for each {key}")
    return found


def _header(data: Mapping[str, Any], number: int) -> LayoutHeader:
    where = _where("header", data, number)
    _refuse_unknown(data, _HEADER, where)
    return LayoutHeader(
        name=_take(data, "name", where, _name),
        rating_ma=_take(data, "rating_ma", where, _whole),
        modes=_take(data, "modes", where, _modes),
        full_speed_lock=_take(data, "full_speed_lock", where, _flag, False),
    )


def _chain(data: Mapping[str, Any], number: int) -> LayoutChain:
    where = _where("chain", data, number)
    _refuse_unknown(data, _CHAIN, where)
    name = _take(data, "name", where, _name)
    if "pump" not in data and names_a_pump(name):
        said = (
            "it is called a pump, and the rules of a pump guard it only with pump = true; write that, or pump = false"
        )
        raise FileError(said, field=f"{where}: pump")
    return LayoutChain(
        name=name,
        drive=_take(data, "drive", where, _drive),
        steady_ma=_take(data, "steady_ma", where, _whole),
        start_ma=_take(data, "start_ma", where, _whole) if "start_ma" in data else None,
        pump=_take(data, "pump", where, _flag, False),
        fans=_take(data, "fans", where, _whole, 1),
        reach=_take(data, "cable_cm", where, _reach, ()),
    )


def _where(kind: str, data: Mapping[str, Any], number: int) -> str:
    name = data.get("name")
    return f"{kind} {clean(name)[:40]}" if isinstance(name, str) and name else f"{kind} {number}"


def _refuse_unknown(data: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
    for key in data:
        if key in known:
            continue
        field = f"{where}: {clean(key)[:40]}" if where else clean(key)[:40]
        if key in _WATTS and _WATTS[key] in known:
            raise FileError(_watts(data[key], _WATTS[key]), field=field)
        if key in _AMPERES and _AMPERES[key] in known:
            raise FileError(f"write {_AMPERES[key]} in whole milliamperes: 1.5 A is 1500", field=field)
        raise FileError(f"this key is not known; keys are {', '.join(known)}", field=field)


def _watts(value: object, key: str) -> str:
    asked = "a rating in watts is not a current"
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < 1000:
        return f"{asked}; at 12 V it is {round(1000 * value / 12)} mA: write {key} = {round(1000 * value / 12)} if so"
    return f"{asked}; write {key} in whole milliamperes"


_MISSING = object()


def _take(
    data: Mapping[str, Any], key: str, where: str, read: Callable[[object, str], Any], default: object = _MISSING
) -> Any:
    field = f"{where}: {key}" if where else key
    if key in data:
        return read(data[key], field)
    if default is _MISSING:
        raise FileError("the key is missing; add it", field=field)
    return default


def _whole(value: object, field: str) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise FileError(f"{clip(str(value))} is not a whole number; write it without point and unit, like 600", field=field)


def _flag(value: object, field: str) -> bool:
    if isinstance(value, bool):
        return value
    raise FileError(f"{clip(str(value))} is neither true nor false; write one of them", field=field)


def _name(value: object, field: str) -> str:
    if isinstance(value, str) and value.strip() and len(value) <= 60:
        return clean(value.strip())
    raise FileError("a name is a text of 1 to 60 characters; write the label as printed", field=field)


def _drive(value: object, field: str) -> Drive:
    found = _DRIVES.get(value.strip().lower()) if isinstance(value, str) else None
    if found is None:
        raise FileError(f"{clip(str(value))} is no drive; write pwm, voltage or fixed", field=field)
    return found


def _modes(value: object, field: str) -> tuple[Drive, ...]:
    if not isinstance(value, list) or not value:
        raise FileError('write the modes as a list, like ["pwm", "voltage"]', field=field)
    return tuple(dict.fromkeys(_drive(one, field) for one in value))


def _reach(value: object, field: str) -> tuple[Reach, ...]:
    if not isinstance(value, dict):
        raise FileError("write it as [chain.cable_cm] with a length for each header below", field=field)
    return tuple(Reach(header=clean(name), cable_cm=_whole(cm, f"{field}.{clean(name)}")) for name, cm in value.items())
