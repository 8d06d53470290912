"""What is looked at, from a typed line: a sweep, the duties, what sat where at an earlier time."""

from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.deed import Deed
from commission.stages.fan_headers.at_hand import View

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand


_DAY = ("%Y-%m-%d", "%d.%m.%Y")


_MINUTE = ("%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M")


def read_moment(text: str, now_ms: int, offset_min: int) -> int:
    """Return the moment that a date means on the bench's wall clock: the end of that day, or the minute named.

    Raises
    ------
    InputError
        If it is none, or lies ahead.

    Examples
    --------
    >>> read_moment("1970-01-02", 10**12, 0), read_moment("1970-01-01 00:01", 10**12, 0)
    (172799999, 119999)
    """
    zone = timezone(timedelta(minutes=offset_min))
    typed = " ".join(text.replace("T", " ").split())
    today = datetime.fromtimestamp(now_ms / 1000, zone)
    typed = {"today": f"{today:%Y-%m-%d}", "yesterday": f"{today - timedelta(days=1):%Y-%m-%d}"}.get(
        typed.casefold(), typed
    )
    for forms, span in ((_DAY, timedelta(days=1)), (_MINUTE, timedelta(minutes=1))):
        for form in forms:
            try:
                start = datetime.strptime(typed, form).replace(tzinfo=zone)
            except ValueError:
                continue
            if start > today:
                raise InputError(f"{clip(text)} lies ahead; type a day that has been")
            return round((start + span).timestamp() * 1000) - 1
    raise InputError(f"{clip(text)} is no date; type such as 2026-09-14, or 2026-09-14 10:30, or yesterday")


def then_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for an earlier time does: nothing but to show what sat where.

    Raises
    ------
    InputError
        If that is no time.
    """
    mark = hand.book.clock.now()
    at_ms = read_moment(text, mark.wall_ms, mark.offset_min)

    def do() -> None:
        hand.view, hand.then_ms = View.THEN, at_ms

    return Deed(told=f"show what sat where on {time_text(hand, at_ms)}", do=do)


def time_text(hand: "HeadersAtHand", at_ms: int) -> str:
    """Return a moment [ms since 1970 UTC] as the clock on the wall shows it."""
    zone = timezone(timedelta(minutes=hand.book.clock.now().offset_min))
    return f"{datetime.fromtimestamp(at_ms / 1000, zone):%Y-%m-%d %H:%M}"


def duties_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for the duties does: nothing but to show them.

    Raises
    ------
    InputError
        If something follows.
    """
    if text:
        raise InputError("type duties alone to see them, or leave, the chain, its duty and speed")

    def do() -> None:
        hand.view = View.DUTIES

    return Deed(told="show the duties that chains were left at", do=do)


def show_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for the sweep of a chain does: nothing but to show it.

    Raises
    ------
    InputError
        If there is no such chain.
    """
    chain, _ = hand.chain_named(text)

    def do() -> None:
        hand.view, hand.shown = View.RESULT, chain.chain_id

    return Deed(told=f"show the last sweep of {chain.name}", do=do)
