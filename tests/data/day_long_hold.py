"""The 24 h table as moles and as compensated pressure, by plain arithmetic."""

from tests.data.read import table

MASSPOINT_R = 8.314462618
"""Gas constant that the header of the table names [J/(mol·K)]."""
VOLUME_M3 = 1.2e-3
"""Internal volume that the header names [m3]."""
REFERENCE_K = 293.15
"""Reference temperature that the header names [K]."""


def moles() -> tuple[list[float], list[float]]:
    """Return hours and moles of the 24 h table."""
    data = table("masspoint_oracle")
    kelvin = [t + 273.15 for t in data["T_C"]]
    pascal = [100 * (g + b) for g, b in zip(data["p_gauge_mbar"], data["p_baro_mbar"], strict=True)]
    return data["t_h"], [p * VOLUME_M3 / (MASSPOINT_R * t) for p, t in zip(pascal, kelvin, strict=True)]


def compensated_mbar() -> list[float]:
    """Return the compensated pressure of the 24 h table [mbar]."""
    return [n * MASSPOINT_R * REFERENCE_K / VOLUME_M3 / 100 for n in moles()[1]]
