"""The ids of the stages, as the procedure has them."""

HOLD = "pressure_hold"
"""Id of the pressure hold among the stages."""


FILL = "fill"
"""Id of the fill among the stages."""


BLEED = "bleed"
"""Id of the bleed among the stages."""


FIRST_POWER = "first_power"
"""Id of the first power-on among the stages."""


FAN_HEADERS = "fan_headers"
"""Id of the fan headers among the stages."""


THERMAL_SOAK = "thermal_soak"
"""Id of the thermal soak among the stages."""


HANDOVER = "handover"
"""Id of the handover among the stages."""
