"""Whether chains may sit on a header: what blocks it, what may be let be with a reason, what to keep in mind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.physics.pwm_fan import SINK_A, STEADY_A, fans_on_one_signal
from commission.record.machine.seats import Drive, Feed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.machine.plugged import Plugged
    from commission.record.machine.seats import Chain, Header


class SeatCheck(Frozen):
    """What stands against a set of chains on one header."""

    steady_ma: int
    """Their currents from the header at full speed [mA]."""
    start_ma: int
    """Their currents from the header when all start together [mA]."""
    blocked: tuple[Phrase, ...]
    """What forbids it; never overridden."""
    may_override: tuple[Phrase, ...]
    """What forbids it unless a reason is given: the share of the rating, or a start current that is only a guess."""
    warnings: tuple[Phrase, ...]
    """What to keep in mind."""

    @property
    def allowed(self) -> bool:
        """Whether nothing stands against it."""
        return not self.blocked and not self.may_override


def check_seat(chains: Sequence[Chain], header: Header, *, steady_percent: int, start_factor: float) -> SeatCheck:
    """Check everything that would sit on a header.

    Parameters
    ----------
    chains
        All chains on it, the new one among them, at least one [mA].
    steady_percent
        Share of the rating that steady currents may take, 1 to 100 [%].
    start_factor
        Start over steady current where no label gives it, 1 or more [1].

    Raises
    ------
    ValueError
        If there is no chain, or a share or factor is out of range.

    Notes
    -----
    A pump that header or hub drives (a hub passes the signal on) is blocked where anything on the header can stop it:
    no lock at full speed, a duty down to 0 %, an automatic fan stop, a silent profile, voltage mode. A chain that is
    fed from a hub or the supply draws nothing from the header, and the rules of tach and signal still hold. How the
    header is set is a warning only: it is changed in the firmware, and a sweep shows whether it was.

    A current above the rating, steady or at start, is blocked for good. Two things are our own caution and may be let
    be with a reason: the share of the rating, and a start current that only the factor guesses.

    Examples
    --------
    Three fans of 0.20 A on a header of 1 A, five and six; start by default:

    >>> from commission.record.machine.seats import Chain, Device, Drive, Header
    >>> fan = Device(name="fan", wires=4, steady_ma=200)
    >>> header = Header(
    ...     header_id="1", name="SYS1", pins=4, rating_ma=1000, rating_assumed=False, modes=(Drive.PWM,)
    ... )
    >>> three, five, six = (Chain(chain_id="c", name="top", devices=(fan,) * n, drive=Drive.PWM) for n in (3, 5, 6))
    >>> check = check_seat([three], header, steady_percent=80, start_factor=2.0)
    >>> check.steady_ma, check.blocked, [phrase.code for phrase in check.may_override]
    (600, (), ['start_over'])
    >>> [phrase.code for phrase in check_seat([five], header, steady_percent=80, start_factor=2.0).may_override]
    ['steady_over', 'start_over']
    >>> [phrase.code for phrase in check_seat([six], header, steady_percent=80, start_factor=2.0).blocked]
    ['steady_over', 'start_over']
    """
    if not chains or not 1 <= steady_percent <= 100 or not start_factor >= 1:
        raise ValueError("at least one chain, a share of 1 to 100 % and a factor of 1 or more are needed")
    fed = [chain for chain in chains if chain.feed is Feed.HEADER]
    steady = sum(chain.steady_ma for chain in fed)
    start = sum(chain.start_ma(start_factor) for chain in fed)
    blocked = [*_pump(chains, header), *_drives(chains, header)]
    over: list[Phrase] = []
    if 100 * steady > steady_percent * header.rating_ma:
        beyond = blocked if steady > header.rating_ma else over
        beyond.append(steady_over(steady, header.rating_ma, steady_percent))
    known = all(chain.start_known for chain in fed)
    if start > header.rating_ma:
        beyond = blocked if sum(chain.start_told_ma for chain in fed) > header.rating_ma else over
        beyond.append(start_over(start, header.rating_ma, known=known))
    return SeatCheck(
        steady_ma=steady,
        start_ma=start,
        blocked=tuple(blocked),
        may_override=tuple(over),
        warnings=(*_guesses(header, known=known), *_settings(chains, header), *_beyond_one(chains), *_labels(chains)),
    )


def against_seats(
    plugged: Plugged, *, steady_percent: int, start_factor: float
) -> tuple[tuple[Phrase, ...], tuple[Phrase, ...]]:
    """Return what forbids a seat as it is, whatever the sweeps say, and what was let be with a reason.

    Parameters
    ----------
    steady_percent
        Share of a header's rating that steady currents may take, 1 to 100 [%].
    start_factor
        Start over steady current where no label gives it, 1 or more [1].

    Returns
    -------
    tuple
        The two kinds of objection [words].

    Raises
    ------
    ValueError
        If a share or factor is out of range.

    Notes
    -----
    What may be let be and was not, by the record, forbids the seat as well.

    Examples
    --------
    >>> from commission.record.machine.plugged import Plugged
    >>> against_seats(Plugged(), steady_percent=80, start_factor=2.0)
    ((), ())
    """
    found: list[Phrase] = []
    let_be: list[Phrase] = []
    for header in plugged.headers:
        on_it = plugged.on(header.header_id)
        if not on_it:
            continue
        check = check_seat(on_it, header, steady_percent=steady_percent, start_factor=start_factor)
        reason = plugged.overridden_on(header.header_id)
        found += check.blocked if reason else (*check.blocked, *check.may_override)
        let_be += [
            Phrase(f"{phrase.code}_let_be", f"{header.name}: {phrase.template} Let be: {reason}")
            for phrase in check.may_override
            if reason
        ]
    return tuple(found), tuple(let_be)


def _pump(chains: Sequence[Chain], header: Header) -> list[Phrase]:
    found = []
    if any(chain.pump and chain.feed is not Feed.SUPPLY for chain in chains) and header.may_stop_a_pump:
        why = ", ".join(header.stops) or "it is not locked at full speed"
        said = f"{header.name} can stop the pump ({why}): lock it at full speed, or feed the pump from the supply."
        found.append(Phrase("pump_can_stop", said))
    if any(chain.pump for chain in chains) and len(chains) > 1:
        said = f"A pump sits alone: nothing else goes on {header.name} beside it."
        found.append(Phrase("pump_shares", said))
    return found


def _drives(chains: Sequence[Chain], header: Header) -> list[Phrase]:
    found = []
    for chain in chains:
        if chain.control_wanted and chain.drive not in header.modes:
            offered = ", ".join(header.modes)
            said = f"{chain.name} is driven by {chain.drive}, {header.name} offers {offered} only."
            found.append(Phrase("drive_not_offered", said))
    if len({chain.drive for chain in chains}) > 1:
        said = "Unlike drives on one header: PWM leaves 3-wire fans at full speed, voltage starves 4-wire ones."
        found.append(Phrase("unlike_drives", said))
    return found


def _guesses(header: Header, *, known: bool) -> list[Phrase]:
    found = []
    if header.rating_assumed:
        said = f"The rating of {header.name}, {header.rating_ma} mA, is assumed: look it up in the board's manual."
        found.append(Phrase("rating_assumed", said))
    if not known:
        said = "No label gives the start current of every device: a default factor on the steady current was taken."
        found.append(Phrase("start_by_default", said))
    return found


def _settings(chains: Sequence[Chain], header: Header) -> list[Phrase]:
    if header.set_to is None:
        return [Phrase("mode_unknown", f"How {header.name} is set is not recorded: look in the firmware.")]
    amiss = [chain.name for chain in chains if chain.control_wanted and chain.drive is not header.set_to]
    if not amiss:
        return []
    said = f"{header.name} is set to {header.set_to}; {', '.join(amiss)} needs {chains[0].drive}: change the setting."
    return [Phrase("mode_differs", said)]


def _beyond_one(chains: Sequence[Chain]) -> list[Phrase]:
    devices = [device for chain in chains for device in chain.devices]
    found = []
    if len(devices) > 1:
        said = f"One tach input for {len(devices)} devices: pin 3 on one branch only; look that the others turn."
        found.append(Phrase("one_tach", said))
    if sum(len(chain.devices) for chain in chains if chain.drive is Drive.PWM) > fans_on_one_signal(SINK_A[1]):
        said = "The 4-wire specification promises one PWM input an output; more need a buffer, or luck: sweep it."
        found.append(Phrase("signal_fan_out", said))
    return found


def _labels(chains: Sequence[Chain]) -> list[Phrase]:
    beyond = [
        device.name
        for chain in chains
        if not chain.pump
        for device in chain.devices
        if device.wires == 4 and device.steady_ma > 1000 * STEADY_A
    ]
    if not beyond:
        return []
    said = f"{', '.join(beyond)}: more than 1.5 A, the most that the 4-wire specification allows one fan."
    return [Phrase("beyond_specification", said)]


def steady_over(steady_ma: int, rating_ma: int, percent: int) -> Phrase:
    """Say by how much steady current exceeds a rating.

    Parameters
    ----------
    steady_ma
        Steady current [mA].
    rating_ma
        Rating of the header [mA].
    percent
        Share that may be taken [%].

    Notes
    -----
    Above the rating it is never overridden: header circuits may have no over-current protection (common practice, no
    source). The share below it is our own choice, and may be let be with a reason; layouts keep to it.

    Examples
    --------
    >>> steady_over(1000, 1000, 80).code
    'steady_over'
    """
    most = percent * rating_ma // 100
    said = f"Steady current {steady_ma} mA exceeds {most} mA, {percent} % of the rating {rating_ma} mA."
    return Phrase("steady_over", said)


def start_over(start_ma: int, rating_ma: int, *, known: bool) -> Phrase:
    """Say by how much start current exceeds a rating.

    Parameters
    ----------
    start_ma
        Start current [mA].
    rating_ma
        Rating of the header [mA].
    known
        Whether labels give it [yes or no].

    Notes
    -----
    Never overridden where labels tell it. A guess by the factor may be let be with a reason, for instance where the
    start was measured.

    Examples
    --------
    >>> start_over(1200, 1000, known=False).template
    'Start current 1200 mA (default: 2.0 x steady, no label gives it) exceeds the rating 1000 mA.'
    """
    basis = "" if known else " (default: 2.0 x steady, no label gives it)"
    return Phrase("start_over", f"Start current {start_ma} mA{basis} exceeds the rating {rating_ma} mA.")
