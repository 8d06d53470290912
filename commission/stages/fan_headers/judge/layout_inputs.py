"""What a layout must know of headers and chains, from what is written down of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.record.machine.seats import START_FACTOR, Feed
from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader

if TYPE_CHECKING:
    from commission.record.machine.seats import Chain, Header


def layout_header(header: Header) -> LayoutHeader:
    """Return what a layout must know of a header; locked only where nothing else can stop a pump.

    Every mode that it can be set to counts, not only the one that it is set to.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive, Header, StopCause
    >>> header = Header(
    ...     header_id="1", name="PUMP", pins=4, rating_ma=3000, rating_assumed=False, modes=(Drive.PWM,),
    ...     full_speed_lock=True, stops=(StopCause.FAN_STOP,),
    ... )
    >>> layout_header(header).full_speed_lock
    False
    """
    return LayoutHeader(
        name=header.name,
        rating_ma=header.rating_ma,
        modes=header.modes,
        full_speed_lock=not header.may_stop_a_pump,
    )


def layout_chain(chain: Chain, start_factor: float = START_FACTOR) -> LayoutChain:
    """Return what a layout must know of a chain; without current where a hub or the supply feeds it.

    ``start_factor`` is start over steady current where a label gives none, 1 or more. Where some labels give a start
    current and others do not, those that do are kept.

    Examples
    --------
    >>> from commission.record.machine.seats import Chain, Device, Drive
    >>> fans = (Device(name="a", wires=4, steady_ma=200, start_ma=300), Device(name="b", wires=4, steady_ma=200))
    >>> layout_chain(Chain(chain_id="c", name="top", devices=fans, drive=Drive.PWM)).start_ma
    700
    """
    fed = chain.feed is Feed.HEADER
    all_guessed = all(device.start_ma is None for device in chain.devices)
    start = None if fed and all_guessed else chain.start_ma(start_factor) if fed else 0
    return LayoutChain(
        name=chain.name,
        drive=chain.drive,
        steady_ma=chain.header_steady_ma,
        start_ma=start,
        pump=chain.pump and chain.feed is not Feed.SUPPLY,
        alone=chain.pump,
        control_wanted=chain.control_wanted,
        fans=len(chain.devices),
        reach=chain.reach,
    )
