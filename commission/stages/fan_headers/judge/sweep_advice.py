"""What would explain a sweep: every cause that fits what is recorded of fan and header, and what to do about each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.record.machine.seats import Drive, Feed
from commission.stages.fan_headers.model.sweep import SweepWord

if TYPE_CHECKING:
    from commission.stages.fan_headers.model.sweep import SweepSetup, SweepVerdict

_SWEEP_AGAIN = "shut down, unplug, set it in the firmware, and sweep again"


def flat_is_right(setup: SweepSetup) -> bool:
    """Tell whether the duty is not meant to change the speed.

    A pump that is fed by the power supply and has only its tach lead on the header, a chain that is locked at full
    speed, a header that is fixed at full speed for a pump.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import SweepSetup
    >>> flat_is_right(SweepSetup(pump=True, feed=Feed.SUPPLY)), flat_is_right(SweepSetup())
    (True, False)
    """
    return not setup.control_wanted or setup.feed is Feed.SUPPLY or (setup.pump and setup.mode is Drive.FIXED)


def causes_of(word: SweepWord, setup: SweepSetup) -> tuple[Phrase, ...]:
    """Return every cause that would explain a word, and what to do; the likelier first by wires and mode.

    None of them is proven by a sweep: only a second sweep after the change is. Causes that the record rules out are
    left out; none where nothing needs explaining.

    Source: common practice, no source; the behaviour without a signal by the 4-wire specification rev 1.3, p. 14;
    firmware that overrides by Linux Documentation/hwmon/dell-smm-hwmon.rst, commit 0e11f207.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import SweepSetup
    >>> [cause.code for cause in causes_of(SweepWord.IGNORES, SweepSetup(wires=3, mode=Drive.PWM))]
    ['three_wires_on_pwm', 'tach_elsewhere', 'firmware_overrides']
    """
    match word:
        case SweepWord.IGNORES | SweepWord.WEAK if not flat_is_right(setup):
            return (*_ignoring(setup), *_unrecorded(setup))
        case SweepWord.CONTROLLED:
            return _controlled(setup)
        case SweepWord.INVERTED:
            return _INVERTED
        case SweepWord.ERRATIC:
            return _ERRATIC
        case SweepWord.NO_TACH:
            return _NO_TACH
        case SweepWord.NOT_TURNING:
            return _NOT_TURNING
        case SweepWord.NO_READING:
            return (Phrase("look_at_the_blades", "Look: does it turn? The answer tells a missing tach from a stop."),)
        case _:
            return ()


def _ignoring(setup: SweepSetup) -> list[Phrase]:
    causes = []
    if setup.feed is Feed.HUB and setup.mode in (Drive.VOLTAGE, None):
        causes.append(
            Phrase(
                "hub_on_voltage",
                ("A powered hub feeds fixed 12 V and cannot pass on voltage control: set the header to PWM."),
            )
        )
    if setup.wires in (3, None) and setup.mode in (Drive.PWM, None) and setup.feed is Feed.HEADER:
        causes.append(
            Phrase(
                "three_wires_on_pwm",
                "A 3-wire fan on a header in PWM mode runs at full speed: set the header to voltage mode; "
                f"{_SWEEP_AGAIN}.",
            )
        )
    if setup.mode in (Drive.FIXED, None):
        causes.append(
            Phrase(
                "header_unregulated",
                "The header runs at full speed without control: right for a pump; move other chains to another header.",
            )
        )
    causes.append(
        Phrase(
            "tach_elsewhere",
            (
                "The plug or the tach is on another header. Drive one header and watch every "
                "speed; numbers on screen and print on the board may differ."
            ),
        )
    )
    causes.append(
        Phrase(
            "firmware_overrides",
            "The firmware or another program sets the speed again: switch its automatic curve off for the sweep.",
        )
    )
    return causes


def _unrecorded(setup: SweepSetup) -> list[Phrase]:
    lacks = [what for what, value in (("the fan's wires", setup.wires), ("the header's mode", setup.mode)) if not value]
    return [Phrase("not_recorded", f"Record {' and '.join(lacks)}: that narrows it down.")] if lacks else []


def _controlled(setup: SweepSetup) -> tuple[Phrase, ...]:
    if setup.wires == 4 and setup.mode is Drive.VOLTAGE:
        said = "Speed follows the voltage, and the fan's control wire is idle: set the header to PWM"
        return (Phrase("four_wires_on_voltage", f"{said}; {_SWEEP_AGAIN}."),)
    if setup.wires == 3 and setup.mode is Drive.PWM:
        said = "A 3-wire fan cannot follow PWM: the header is in voltage mode, or the wires are recorded wrongly."
        return (Phrase("record_contradicts", said),)
    if flat_is_right(setup):
        said = "The duty changes the speed where it must not: lock the header at full speed, and sweep again."
        return (Phrase("lock_not_in_force", said),)
    return ()


_INVERTED = (
    Phrase("curve_inverted", "The duties were typed the wrong way round, or the setup screen counts in reverse."),
    Phrase("signal_inverted", "The control signal is inverted, by a setting or by an adapter between header and fan."),
)
_ERRATIC = (
    Phrase(
        "two_tachs",
        (
            "Two tachs may share the line. Leave pin 3 on one branch only, or unplug one fan "
            "with the power off; sweep again."
        ),
    ),
    Phrase("pulses_setting", "The number of pulses a turn may be set wrongly."),
    Phrase("tach_noise", "The tach lead may pick up noise, or lose contact: reseat it with the power off."),
)
_NO_TACH = (
    Phrase("no_tach_lead", "The reporting fan has no tach lead, or pin 3 is missing on its branch."),
    Phrase("tach_elsewhere", "The tach sits on another header: watch all speeds while you drive this one."),
    Phrase("too_slow", "It turns too slowly for the chip to count."),
)
_NOT_TURNING = (
    Phrase("not_plugged", "It is not plugged in, or its supply pin has no contact: power off, then reseat it."),
    Phrase("blocked", "The blades are held by a cable or a guard: power off before you reach in."),
    Phrase("header_off", "The header is switched off, or holds a duty below the start of this fan."),
)


def mode_test(first: SweepVerdict, second: SweepVerdict) -> Phrase:
    """Compare two sweeps of one chain in the two modes of its header: the only proof of which mode drives it.

    The shape of one curve cannot tell PWM from voltage drive: a usual voltage curve stays within 5 points of the
    duty, and the 4-wire specification allows 10.

    Examples
    --------
    >>> from commission.base.verdict import Outcome
    >>> from commission.stages.fan_headers.model.sweep import SweepVerdict
    >>> def verdict(word):
    ...     return SweepVerdict(
    ...         outcome=Outcome.PASS, word=word, full_rpm=1500, trend_p=None, span=None, effect=None, trend=None,
    ...         noise_rpm=None, read_twice=True, alike_rpm=None,
    ...     )
    >>> mode_test(verdict(SweepWord.CONTROLLED), verdict(SweepWord.IGNORES)).code
    'first_mode_drives'
    """
    pair = (first.word, second.word)
    if pair == (SweepWord.CONTROLLED, SweepWord.IGNORES):
        return Phrase("first_mode_drives", "Only the first mode controls it: that is the mode for this chain.")
    if pair == (SweepWord.IGNORES, SweepWord.CONTROLLED):
        return Phrase("second_mode_drives", "Only the second mode controls it: that is the mode for this chain.")
    if pair == (SweepWord.CONTROLLED, SweepWord.CONTROLLED):
        stalls = [verdict.stops.stop_pct is not None for verdict in (first, second)]
        if stalls[0] != stalls[1]:
            which = "second" if stalls[0] else "first"
            return Phrase(f"{which}_mode_runs_through", f"Both control it; only the {which} runs without a stop.")
        return Phrase("both_modes_drive", "Both modes control it; the maker's own drive is the better one.")
    return Phrase("modes_undecided", "The two sweeps do not tell which mode drives it.")
