"""What the calculators answer, as plain data for programs."""

from __future__ import annotations

from commission.base.frozen import Frozen


class CoolantAnswer(Frozen):
    """Properties of a coolant at a temperature, from published data."""

    density_kg_m3: float
    """Density [kg/m3]."""
    heat_capacity_j_kg_k: float
    """Specific heat capacity [J/(kg·K)]."""
    viscosity_pa_s: float
    """Dynamic viscosity [Pa·s]."""
    freezing_k: float
    """Temperature at which ice forms [K]."""
    mass_fraction: float
    """Mass fraction of glycol, 0 for water [1]."""
    volume_m3: float | None
    """Volume of the weight that was asked for [m3]; null where none was."""


class MixAnswer(Frozen):
    """How much of a concentrate and of a diluent make a coolant."""

    concentrate_kg: float
    """Mass of the concentrate [kg]."""
    diluent_kg: float
    """Mass of the water or premix [kg]."""
    concentrate_m3: float
    """Volume of the concentrate before mixing [m3]."""
    diluent_m3: float
    """Volume of the water or premix before mixing [m3]."""
    total_kg: float
    """Mass of the mixture [kg]."""
    total_m3: float
    """Volume of the mixture, less than the sum of the volumes before [m3]."""
    contraction: float
    """Share of the summed volumes that mixing takes away [1]."""
    mass_fraction: float
    """Mass fraction of glycol in the mixture [1]."""
    freezing_k: float
    """Temperature at which ice forms in the mixture [K]."""


class HeadspaceAnswer(Frozen):
    """Pressure of a closed loop when it has warmed."""

    gauge_pa: float
    """Pressure above that of the room [Pa]."""
    headspace_needed_m3: float | None
    """Smallest volume of air that keeps within the limit [m3]; null without a limit, or where none is enough."""
    reasons: tuple[str, ...]
    """What it means, in plain words."""


class HeadspaceError(Frozen):
    """A closed loop that the warm liquid would fill: there is no pressure to name."""

    error: str
    """What is wrong, in plain words."""
    headspace_needed_m3: float | None
    """Smallest volume of air that keeps within the limit [m3]; null without a limit, or where none is enough."""
    reasons: tuple[str, ...]
    """What it means, in plain words."""


class VolumeAnswer(Frozen):
    """Volume of a loop, measured on air by strokes."""

    volume_m3: float
    """Volume with hose and gauge [m3]."""
    u_volume_m3: float
    """Its standard uncertainty [m3]."""
    assumed: tuple[str, ...]
    """What had to be assumed, each as a sentence."""
