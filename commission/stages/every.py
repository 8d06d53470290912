"""All stages in the order of the job: the list from which record, bench, screens and commands know them."""

from commission.stages.bleed.stage import FACE as BLEED
from commission.stages.build_sheet.stage import FACE as BUILD_SHEET
from commission.stages.fan_headers.stage import FACE as FAN_HEADERS
from commission.stages.fill.stage import FACE as FILL
from commission.stages.first_power.stage import FACE as FIRST_POWER
from commission.stages.handover.stage import FACE as HANDOVER
from commission.stages.pressure_hold.stage import FACE as PRESSURE_HOLD
from commission.stages.thermal_soak.stage import FACE as THERMAL_SOAK

STAGES = (BUILD_SHEET, PRESSURE_HOLD, FILL, BLEED, FIRST_POWER, FAN_HEADERS, THERMAL_SOAK, HANDOVER)
"""Their faces."""
