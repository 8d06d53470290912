"""Liquid water at the pressure of a room: density, heat capacity, viscosity, and the pressure of its vapour."""

import math

from commission.physics.gas import ICE_POINT_K
from commission.physics.require import within

HIGHEST_K = 373.15
"""Highest temperature at which liquid properties are given [K] (100 °C); our choice: boiling point; the formulas
reach a little further."""
CRITICAL_K = 647.096
"""Critical temperature of water [K]. Source: IAPWS R2-83(1992)."""
CRITICAL_PA = 22.064e6
"""Critical pressure of water [Pa]. Source: IAPWS R2-83(1992)."""
COMPRESSIBILITY_PER_PA = 4.58914e-10
"""Isothermal compressibility at 20 °C [1/Pa]. Source: IAPWS-95, computed with iapws 1.5.5."""

# Source: IAPWS SR6-08(2011), Tables 1 and 2: volume and heat capacity at 0.1 MPa as sums over powers of
# α = 10 K/(593 K − T) and β = 10 K/(T − 232 K). Each pair is (coefficient, power).
_GAS_CONSTANT = 461.51805
_UNIT_K = 10.0
_UNIT_PA = 1e5
_VOLUME_CONSTANT = 1.93763157e-2
_VOLUME_ALPHA = (
    (6.74458446e3, 4),
    (-2.22521604e5, 5),
    (1.00231247e8, 7),
    (-1.63552118e9, 8),
    (8.32299658e9, 9),
)
_VOLUME_BETA = (
    (5.78545292e-3, 1),
    (-1.53195665e-2, 2),
    (3.11337859e-2, 3),
    (-4.23546241e-2, 4),
    (3.38713507e-2, 5),
    (-1.19946761e-2, 6),
)
_HEAT_CONSTANT = -8.983025854
_HEAT_ALPHA = ((-1.661470539e5, 4), (2.708781640e6, 5), (-1.557191544e8, 7))
_HEAT_BETA = ((-8.237426256e-1, 2), (1.908956353, 3), (-2.017597384, 4), (8.546361348e-1, 5))
# Source: IAPWS SR6-08(2011), equation 7: viscosity as a sum of powers of T/300 K.
_VISCOSITY = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
# Source: W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, equation 1 (IAPWS SR1-86).
_VAPOUR = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)


def density(temperature_k: float) -> float:
    """Return the density of water.

    Parameters
    ----------
    temperature_k
        Temperature, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Density at 0.1 MPa [kg/m3].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    The formula holds from 253.15 to 383.15 K; it is used only where water is liquid in an open vessel. Pressure moves
    it by 0.046 kg/m3 for 1 bar, which is left out. Tap water holds salts that add up to about 0.5 kg/m3.

    Source: IAPWS SR6-08(2011), equation 2, coefficients read from the library iapws 1.5.5.

    Examples
    --------
    The release prints the volume 1.002961733e-3 m3/kg at 298.15 K as a check:

    >>> f"{1e3 / density(298.15):.9f}"
    '1.002961733'
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    alpha, beta = _UNIT_K / (593.0 - temperature_k), _UNIT_K / (temperature_k - 232.0)
    total = _VOLUME_CONSTANT
    total += sum(a * alpha**n for a, n in _VOLUME_ALPHA)
    total += sum(b * beta**m for b, m in _VOLUME_BETA)
    return _UNIT_PA / (_GAS_CONSTANT * _UNIT_K * total)


def heat_capacity(temperature_k: float) -> float:
    """Return the specific heat capacity of water.

    Parameters
    ----------
    temperature_k
        Temperature, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Isobaric heat capacity at 0.1 MPa [J/(kg·K)].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    Holds as ``density`` does.

    Source: IAPWS SR6-08(2011), equation 4, coefficients read from the library iapws 1.5.5.

    Examples
    --------
    IAPWS-95 gives 4181.31 J/(kg·K) at 25 °C and 101.325 kPa (iapws and CoolProp agree):

    >>> round(heat_capacity(298.15), 0)
    4181.0
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    alpha, beta = _UNIT_K / (593.0 - temperature_k), _UNIT_K / (temperature_k - 232.0)
    curved = sum(n * (n + 1) * a * alpha ** (n + 2) for a, n in _HEAT_ALPHA)
    curved += sum(m * (m + 1) * b * beta ** (m + 2) for b, m in _HEAT_BETA)
    return -_GAS_CONSTANT * (_HEAT_CONSTANT + temperature_k / _UNIT_K * curved)


def viscosity(temperature_k: float) -> float:
    """Return the dynamic viscosity of water.

    Parameters
    ----------
    temperature_k
        Temperature, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Dynamic viscosity at 0.1 MPa [Pa·s].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    Holds as ``density`` does, to about 1 %.

    Source: IAPWS SR6-08(2011), equation 7.

    Examples
    --------
    The release prints 889.9967 µPa·s at 298.15 K as a check:

    >>> round(viscosity(298.15) * 1e6, 4)
    889.9968
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    ratio = temperature_k / 300.0
    return 1e-6 * sum(a * math.pow(ratio, b) for a, b in _VISCOSITY)


def saturation_pressure(temperature_k: float) -> float:
    """Return the pressure of saturated water vapour.

    Parameters
    ----------
    temperature_k
        Temperature, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Vapour pressure [Pa].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    Glycol lowers it (by about a tenth at a mass fraction of 0.3); the value of pure water is the cautious one.

    Source: W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, equation 1.

    Examples
    --------
    Normal boiling point, IAPWS-95: 373.124 K at 101.325 kPa.

    >>> round(saturation_pressure(373.124) / 1e3, 2)
    101.32
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    v = 1 - temperature_k / CRITICAL_K
    return CRITICAL_PA * math.exp(CRITICAL_K / temperature_k * sum(a * math.pow(v, n) for a, n in _VAPOUR))
