"""Whether the voltages of a supply keep to the windows of its design guide, and the delay of its PWR_OK."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.stages.first_power.model.rails import (
    LeftOut,
    PlugKind,
    PowerGoodVerdict,
    PowerGoodWord,
    Rail,
    RailRow,
    RailsVerdict,
    RailWindow,
    Revision,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.stages.first_power.model.rails import RailReading

_GUIDE = "ATX12V power supply design guide 2.0, table 2"
_SECOND_HAND = (
    "second-hand: the method page of a test laboratory for supplies (7 % lower, 8 % at graphics plugs); upper edge as "
    "in ATX 2.x; table 4-2 of the ATX version 3 design guide not read"
)
WINDOWS: dict[Rail, RailWindow] = {
    Rail.V12: RailWindow(low_v=11.40, high_v=12.60, source=_GUIDE),
    Rail.V5: RailWindow(low_v=4.75, high_v=5.25, source=_GUIDE),
    Rail.V3_3: RailWindow(low_v=3.14, high_v=3.47, source=_GUIDE),
    Rail.STANDBY: RailWindow(low_v=4.75, high_v=5.25, source=_GUIDE),
    Rail.MINUS_12: RailWindow(low_v=-13.20, high_v=-10.80, source=_GUIDE),
}
"""Windows of ATX 2.x, as printed [V]. Source: ATX12V power supply design guide 2.0, table 2."""
WIDE_12 = RailWindow(low_v=11.16, high_v=12.60, source=_SECOND_HAND)
"""+12 V of ATX 3.x, +5 % and -7 % [V]. Source: second-hand, see there; the upper edge is that of ATX 2.x."""
WIDE_12_GRAPHICS = RailWindow(low_v=11.04, high_v=12.60, source=_SECOND_HAND)
"""+12 V of ATX 3.x at graphics plugs, +5 % and -8 % [V]. Source: second-hand, as above."""
SAG_V = 0.10
"""A plug so far below the best one of its rail sags [V]; our choice: about what 3 A drop in one wire of 0.6 m of 18
AWG with its contacts (32.6 milliohm); good plugs of one rail differ by less."""


ONLY_12_V = (PlugKind.GRAPHICS, PlugKind.PROCESSOR)
"""Plugs with +12 V, COM and sense pins and nothing else. Source: the pin tables of ``procedure/connectors.toml``."""


def window_of(rail: Rail, kind: PlugKind, revision: Revision) -> RailWindow:
    """Return the window of a voltage.

    Parameters
    ----------
    revision
        The guide that the supply claims to follow [word].

    Returns
    -------
    RailWindow
        Lowest and highest, with the source [V].

    Notes
    -----
    The windows hold at the load end of the plug, under load.

    Source: ATX12V power supply design guide 2.0, 3.2.1, table 2. The wider windows of ATX 3.x: second-hand, from
    the method page of a test laboratory for supplies; table 4-2 of the guide itself was not read.

    Examples
    --------
    >>> window_of(Rail.V12, PlugKind.GRAPHICS, Revision.ATX3).low_v
    11.04
    """
    if rail is Rail.V12 and revision is Revision.ATX3:
        return WIDE_12_GRAPHICS if kind is PlugKind.GRAPHICS else WIDE_12
    return WINDOWS[rail]


def judge_rail(reading: RailReading, revision: Revision, *, meter_error_v: float = 0.0) -> RailRow:
    """Judge one voltage.

    Parameters
    ----------
    meter_error_v
        Largest error of the meter, 0 or more [V]; the reading's own counts where it is larger.

    Raises
    ------
    ValueError
        If the meter's error is negative.

    Notes
    -----
    Decided on the reading itself and never on a rounded one: 11.396 V shows as 11.40 V and is out. Where the meter's
    error reaches over an edge the outcome is inconclusive.

    Examples
    --------
    >>> from commission.stages.first_power.model.rails import RailReading
    >>> low = RailReading(plug="EPS", kind=PlugKind.PROCESSOR, rail=Rail.V12, volt=11.396, typed="11.396")
    >>> row = judge_rail(low, Revision.ATX2)
    >>> str(row.outcome), row.said.template
    ('fail', 'EPS: +12 V reads 11.396 V, below 11.4 V; outside ATX 2.x, inside ATX 3.x (second-hand).')
    """
    if meter_error_v < 0:
        raise ValueError("the error of the meter must be 0 or more")
    meter_error_v = max(meter_error_v, reading.meter_error_v)
    window = window_of(reading.rail, reading.kind, revision)
    if reading.kind in ONLY_12_V and reading.rail is not Rail.V12:
        said = (
            f"{_reads(reading)}, where a {reading.kind} plug carries +12 V alone: it is wired for another supply. "
            "Plug it into nothing."
        )
        return RailRow(reading=reading, window=window, outcome=Outcome.FAIL, said=Phrase("foreign_rail", said))
    edge = min(abs(reading.volt - window.low_v), abs(reading.volt - window.high_v))
    inside = window.low_v <= reading.volt <= window.high_v
    if meter_error_v > 0 and edge < meter_error_v:
        outcome = Outcome.INCONCLUSIVE
    else:
        outcome = Outcome.PASS if inside else Outcome.FAIL
    code = {Outcome.PASS: "inside", Outcome.FAIL: "outside", Outcome.INCONCLUSIVE: "at_the_edge"}[outcome]
    if inside:
        said = f"{_reads(reading)}, within {window.low_v:g} to {window.high_v:g} V"
        if not WINDOWS[reading.rail].low_v <= reading.volt <= WINDOWS[reading.rail].high_v:
            said += ": only the wider window of ATX 3.x (second-hand)"
            code = "inside_wider_window" if outcome is Outcome.PASS else code
    else:
        said = _out_of(reading, window, revision)
    if outcome is Outcome.INCONCLUSIVE:
        said += f"; the meter's own error of {meter_error_v:g} V reaches over the edge"
    return RailRow(reading=reading, window=window, outcome=outcome, said=Phrase(code, f"{said}."))


def _reads(reading: RailReading) -> str:
    return f"{reading.plug}: {reading.rail} reads {reading.typed} V"


def _out_of(reading: RailReading, window: RailWindow, revision: Revision) -> str:
    side, edge = ("below", window.low_v) if reading.volt < window.low_v else ("above", window.high_v)
    said = f"{_reads(reading)}, {side} {edge:g} V"
    wide = window_of(reading.rail, reading.kind, Revision.ATX3)
    if revision is Revision.ATX2 and wide.low_v <= reading.volt <= wide.high_v:
        said += "; outside ATX 2.x, inside ATX 3.x (second-hand)"
    return said


def evaluate_rails(
    readings: Sequence[RailReading],
    revision: Revision,
    *,
    meter_error_v: float = 0.0,
    sag_v: float = SAG_V,
    wanted: Sequence[Rail] = (),
    plugs: Sequence[str] = (),
    left_out: Sequence[LeftOut] = (),
) -> RailsVerdict:
    """Judge the voltages of a supply at its plugs.

    Parameters
    ----------
    readings
        Voltages in the order read [V].
    revision
        The guide that the supply claims to follow [word].
    meter_error_v
        Largest error of the meter, 0 or more [V].
    sag_v
        How far a plug may lie below the best one of its rail, above 0 [V].
    wanted
        Voltages that must have been read at some plug [words].
    plugs
        Plugs that must have been read: of every cable made by hand, and any that was read before [words].
    left_out
        Those that are not read, each with its reason; the findings say so [words].

    Returns
    -------
    RailsVerdict
        Outcome, every reading with its window, and plugs that sag [V].

    Raises
    ------
    ValueError
        If the meter's error is negative or the sag not above 0.

    Notes
    -----
    FAIL if one is out, INCONCLUSIVE if one is at the edge or missing, else PASS. -12 V is optional since ATX 3.0.
    Read at the plug, not at the supply. Without load the windows prove little; the notes say so.

    Examples
    --------
    >>> from commission.stages.first_power.model.rails import RailReading
    >>> def at(plug, volt):
    ...     return RailReading(plug=plug, kind=PlugKind.GRAPHICS, rail=Rail.V12, volt=volt, typed=str(volt))
    >>> verdict = evaluate_rails([at("GPU 1", 12.05), at("GPU 2", 11.62)], Revision.ATX2)
    >>> str(verdict.outcome), verdict.findings[0].template
    ('pass', 'GPU 2 sags: +12 V is 0.43 V below GPU 1. Look at its crimps, contacts and gauge.')
    """
    if not sag_v > 0:
        raise ValueError("the sag must be above 0")
    rows = tuple(judge_rail(reading, revision, meter_error_v=meter_error_v) for reading in readings)
    missing = [rail for rail in wanted if rail not in {row.reading.rail for row in rows}]
    told = {row.reading.plug.casefold() for row in rows} | {each.plug.casefold() for each in left_out}
    unread = [plug for plug in plugs if plug.casefold() not in told]
    outcomes = [row.outcome for row in rows]
    if Outcome.FAIL in outcomes:
        outcome = Outcome.FAIL
    elif Outcome.INCONCLUSIVE in outcomes or missing or unread or not rows:
        outcome = Outcome.INCONCLUSIVE
    else:
        outcome = Outcome.PASS
    return RailsVerdict(
        outcome=outcome,
        revision=revision,
        rows=rows,
        reasons=_reasons(rows, outcome, missing, unread),
        findings=(*_sagging(readings, sag_v), *_marks(rows), *_left_out(left_out)),
    )


def _left_out(left_out: Sequence[LeftOut]) -> list[Phrase]:
    return [Phrase("left_out", f"{each.plug} was left out: {each.reason}") for each in left_out]


def _reasons(
    rows: Sequence[RailRow], outcome: Outcome, missing: Sequence[Rail], unread: Sequence[str]
) -> tuple[Phrase, ...]:
    deciding = [row.said for row in rows if row.outcome is outcome and outcome is not Outcome.PASS]
    if missing or not rows:
        what = ", ".join(missing) or "every voltage at every plug"
        deciding.append(Phrase("voltages_missing", f"Still to be read: {what}."))
    if unread:
        said = f"Not read: the plug of {', '.join(unread)}. Read it, or leave it out with a reason."
        deciding.append(Phrase("plugs_unread", said))
    if not deciding:
        deciding.append(Phrase("all_inside", f"All voltages that were read ({len(rows)}) are within their windows."))
    return tuple(deciding)


def _sagging(readings: Iterable[RailReading], sag_v: float) -> list[Phrase]:
    by_rail: dict[tuple[Rail, bool], list[RailReading]] = defaultdict(list)
    for reading in readings:
        by_rail[reading.rail, reading.loaded].append(reading)
    found = []
    for (rail, _), each in by_rail.items():
        best = max(each, key=lambda reading: abs(reading.volt))
        for reading in each:
            sag = abs(best.volt) - abs(reading.volt)
            if sag > sag_v * (1 + 1e-9):
                said = (
                    f"{reading.plug} sags: {rail} is {sag:.2f} V below {best.plug}. Look at its crimps, contacts and "
                )
                found.append(Phrase("plug_sags", said + "gauge."))
    return found


def _marks(rows: Sequence[RailRow]) -> list[Phrase]:
    found = []
    wide = [row.reading.plug for row in rows if row.said.code == "inside_wider_window"]
    if wide:
        said = f"{', '.join(wide)}: within the wider ATX 3.x window only, whose figures are second-hand."
        found.append(Phrase("wider_window", said))
    if rows and not any(row.reading.loaded for row in rows):
        said = "Read without load: that shows that each voltage is there and its wire right, not that it holds."
        found.append(Phrase("no_load", said))
    return found


LEGACY_MS = (100.0, 500.0)
"""PWR_OK delay of older supplies [ms]. Source: ATX12V design guide 1.1, tables 14 and 15: 100 < T3 < 500."""
REQUIRED_MS = (100.0, 250.0)
"""PWR_OK delay required [ms]. Source: Intel ATX version 3 design guide, rev 2.1a, table 4-10."""
RECOMMENDED_MS = (100.0, 150.0)
"""PWR_OK delay recommended [ms]. Source: the same."""


def judge_power_good(delay_ms: float, revision: Revision) -> PowerGoodVerdict:
    """Judge the time from voltages in regulation to PWR_OK.

    Parameters
    ----------
    delay_ms
        The delay, 0 or more [ms].
    revision
        The guide that the supply claims to follow [word].

    Returns
    -------
    PowerGoodVerdict
        Outcome and where the delay lies [ms].

    Raises
    ------
    ValueError
        If the delay is negative or not finite.

    Notes
    -----
    500 ms is a legacy figure; new designs need 250 ms. At exactly 500 ms the guides differ (1.1 has a strict sign).

    Source: Intel ATX version 3 design guide, rev 2.1a, table 4-10; ATX12V design guide 1.1, tables 14 and 15.

    Examples
    --------
    >>> [str(judge_power_good(ms, Revision.ATX3).word) for ms in (90, 100, 250, 300)]
    ['too early', 'recommended', 'required', 'older supplies only']
    """
    if not 0 <= delay_ms < float("inf"):
        raise ValueError("the delay must be 0 or more")
    word = _word(delay_ms)
    old = revision is Revision.ATX2
    if word in (PowerGoodWord.RECOMMENDED, PowerGoodWord.REQUIRED) or (word is PowerGoodWord.LEGACY and old):
        outcome = Outcome.PASS
    elif word is PowerGoodWord.LEGACY_EDGE and old:
        outcome = Outcome.INCONCLUSIVE
    else:
        outcome = Outcome.FAIL
    wanted = LEGACY_MS if old else REQUIRED_MS
    said = f"PWR_OK came after {delay_ms:g} ms: {word}. {revision} asks for {wanted[0]:g} to {wanted[1]:g} ms."
    return PowerGoodVerdict(outcome=outcome, word=word, delay_ms=delay_ms, reason=Phrase("power_good", said))


def _word(delay_ms: float) -> PowerGoodWord:
    if delay_ms < REQUIRED_MS[0]:
        return PowerGoodWord.TOO_EARLY
    if delay_ms <= RECOMMENDED_MS[1]:
        return PowerGoodWord.RECOMMENDED
    if delay_ms <= REQUIRED_MS[1]:
        return PowerGoodWord.REQUIRED
    if delay_ms < LEGACY_MS[1]:
        return PowerGoodWord.LEGACY
    return PowerGoodWord.LEGACY_EDGE if delay_ms == LEGACY_MS[1] else PowerGoodWord.TOO_LATE
