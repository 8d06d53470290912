"""The energy that waits in a loop under air: why the test pressure stays low and eyes stay covered."""

from commission.physics import require

PCC2_ATMOSPHERE_PA = 101_000.0
"""Absolute atmospheric pressure in the formula [Pa]. Source: ASME PCC-2-2008, Art. 5.1, Mandatory Appendix II."""
PCC2_EXPONENT = 0.286
"""(k − 1)/k for air and nitrogen as rounded there [1]. Source: ASME PCC-2-2008, Art. 5.1, Mandatory Appendix II."""


def stored_energy(test_pa: float, volume_m3: float, atmosphere_pa: float = PCC2_ATMOSPHERE_PA) -> float:
    """Return the energy that compressed air or nitrogen sets free when the vessel bursts.

    Parameters
    ----------
    test_pa
        Absolute test pressure, not below atmosphere_pa [Pa].
    volume_m3
        Volume under pressure, above 0 [m3].
    atmosphere_pa
        Absolute pressure of the surroundings, above 0 [Pa].

    Returns
    -------
    float
        Energy of isentropic expansion to the surroundings [J].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0 or the test pressure is below the atmosphere.

    Notes
    -----
    E = 2.5·P·V·(1 − (P_a/P)^0.286). The exact exponent 2/7 gives 0.1 % less. Air in a volume, no liquid, no energy in
    the walls. The distances of the same appendix are for plants and mean nothing below a kilojoule.

    Source: ASME PCC-2-2008, Art. 5.1, Mandatory Appendix II.

    Examples
    --------
    Computed with that formula: 1.2 L at 0.5 bar gauge holds what 1 kg has after falling 5 m.

    >>> round(stored_energy(101_000 + 50_000, 1.2e-3), 2)
    49.22
    """
    require.positive(test_pa=test_pa, volume_m3=volume_m3, atmosphere_pa=atmosphere_pa)
    require.not_negative(gauge_pressure_pa=test_pa - atmosphere_pa)
    return float(2.5 * test_pa * volume_m3 * (1 - (atmosphere_pa / test_pa) ** PCC2_EXPONENT))
