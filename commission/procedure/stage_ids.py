"""The stages in the order of the job, by their ids: each is a folder of that name, and what the procedure calls it."""

BUILD_SHEET = "build_sheet"
"""What the build is made of; no stage of the procedure, for it proves nothing."""

HOLD = "pressure_hold"
"""The pressure hold."""

FILL = "fill"
"""The fill."""

BLEED = "bleed"
"""The bleed."""

FIRST_POWER = "first_power"
"""The first power-on."""

FAN_HEADERS = "fan_headers"
"""The fan headers."""

THERMAL_SOAK = "thermal_soak"
"""The thermal soak."""

HANDOVER = "handover"
"""The handover."""

STAGE_IDS = (BUILD_SHEET, HOLD, FILL, BLEED, FIRST_POWER, FAN_HEADERS, THERMAL_SOAK, HANDOVER)
"""All of them, in the order of the job."""
