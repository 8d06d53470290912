"""What is wrong with a header or a chain that is about to be written down: sentences, before anything is stored."""

from collections.abc import Iterable

from commission.base.board_range import MOST_MA, MOST_SWEEP_RPM
from commission.record.machine.seats import Chain, Device, Drive, Header
from commission.stages.fan_headers.model.layout import MOST_COST
from commission.stages.fan_headers.model.sweep import FULL_PCT


def complaints_about_header(new: Header, known: Iterable[Header]) -> tuple[str, ...]:
    """Return what is wrong with a header beside those that are known; empty where it can be written down.

    Examples
    --------
    >>> header = Header(header_id="1", name="CPU", pins=3, rating_ma=2000, rating_assumed=False, modes=(Drive.PWM,))
    >>> complaints_about_header(header, [])
    ('a header of 3 pins has no pin for PWM: take that mode out, or correct the number of pins',)
    """
    found = []
    if not new.name.strip():
        found.append("the header has no name; write its label as printed")
    if any(new.name.casefold() == other.name.casefold() for other in known if other.header_id != new.header_id):
        found.append(f'there is a header "{new.name}" already; every label stands once')
    if new.pins not in (3, 4):
        found.append(f"a plug of {new.pins} pins is no fan header; they have 3 or 4")
    if not 1 <= new.rating_ma <= MOST_MA:
        found.append(f"a rating of {new.rating_ma} mA is outside 1 to {MOST_MA}; in watts divide by 12 V first")
    if not new.modes:
        found.append("the header offers no mode; name pwm, voltage or fixed")
    if new.pins == 3 and Drive.PWM in new.modes:
        found.append("a header of 3 pins has no pin for PWM: take that mode out, or correct the number of pins")
    if new.set_to is not None and new.set_to not in new.modes:
        found.append(f"the header is set to {new.set_to}, which is none of its modes: {', '.join(new.modes)}")
    return tuple(found)


def complaints_about_chain(new: Chain, known: Iterable[Chain]) -> tuple[str, ...]:
    """Return what is wrong with a chain beside those that are known; empty where it can be written down.

    Examples
    --------
    >>> fan = Device(name="fan", wires=3, steady_ma=200)
    >>> complaints_about_chain(Chain(chain_id="c", name="rear", devices=(fan,), drive=Drive.PWM), [])
    ('a lead of 3 wires cannot be driven by PWM; voltage is its drive',)
    """
    found = []
    if not new.name.strip():
        found.append("the chain has no name; write what it cools")
    if any(new.name.casefold() == other.name.casefold() for other in known if other.chain_id != new.chain_id):
        found.append(f'there is a chain "{new.name}" already; give each its own name')
    if not new.devices:
        found.append("the chain has no fan and no pump")
    if new.pump and len(new.devices) > 1:
        found.append("a pump sits alone on its plug; make the others a chain of their own")
    for device in new.devices:
        found += _about_device(device)
    if new.drive is Drive.PWM and new.control_wanted and any(device.wires < 4 for device in new.devices):
        fewest = min(device.wires for device in new.devices)
        found.append(f"a lead of {fewest} wires cannot be driven by PWM; voltage is its drive")
    found += _about_limits(new)
    if new.reports is not None and not 1 <= new.reports <= len(new.devices):
        found.append(f"device {new.reports} is to report the tach, and the chain has {len(new.devices)}")
    if new.reports is not None and 1 <= new.reports <= len(new.devices) and new.devices[new.reports - 1].wires < 3:
        found.append("a lead of 2 wires has no tach to report")
    return tuple(found)


def _about_limits(new: Chain) -> list[str]:
    """Return what is wrong with the lowest duty of a chain and with what its cable reaches."""
    found = [
        f"a cable of {reach.cable_cm} cm to {reach.header} is outside 0 to {MOST_COST}"
        for reach in new.reach
        if not 0 <= reach.cable_cm <= MOST_COST
    ]
    if len({reach.header for reach in new.reach}) < len(new.reach):
        found.append("its cable is measured to the same header twice; say each header once")
    if new.lowest_duty_pct is not None and not 0 <= new.lowest_duty_pct <= FULL_PCT:
        found.append(f"a lowest duty of {new.lowest_duty_pct:g} % is outside 0 to 100")
    return found


def _about_device(device: Device) -> list[str]:
    found = []
    if not 2 <= device.wires <= 4:
        found.append(f"{device.name}: a lead of {device.wires} wires is no fan's; they have 2 to 4")
    if not 1 <= device.steady_ma <= MOST_MA:
        said = f"a current of {device.steady_ma} mA is outside 1 to {MOST_MA}; in watts divide by 12 V first"
        found.append(f"{device.name}: {said}")
    if device.start_ma is not None and not device.steady_ma <= device.start_ma <= MOST_MA:
        found.append(f"{device.name}: a start current of {device.start_ma} mA is below the steady one, or too large")
    if device.nameplate_rpm is not None and not 1 <= device.nameplate_rpm <= MOST_SWEEP_RPM:
        found.append(f"{device.name}: a speed of {device.nameplate_rpm:g} rpm is outside 1 to {MOST_SWEEP_RPM:.0f}")
    if not 1 <= device.pulses <= 8:
        found.append(f"{device.name}: {device.pulses} pulses a revolution are outside 1 to 8")
    return found
