"""Temperature: lengths brought to 20 °C, and parts grown to where they run.

Coefficients are of linear expansion near room temperature, per °C. Sources differ by a few
percent, so a figure of the user's own always goes first.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from bedplate.text import folded

REFERENCE = Fraction(20)
"""The temperature, in °C, at which a size is stated (ISO 1)."""

_HANDBOOK = "Callister, Fundamentals of Materials Science and Engineering, Appendix B, Table B.6"


class Material(NamedTuple):
    """A material whose expansion is known here.

    Attributes:
        name: as a sheet names it.
        expansion: per °C.
        source: where the figure stands.
        stands_for: the grade it was read for.
    """

    name: str
    expansion: Fraction
    source: str
    stands_for: str


GAUGE_STEEL = Fraction(115, 10_000_000)
"""What a gauge is taken for when nothing is said of it: 11.5e-6 per °C (GUM H.1.2)."""

MATERIALS = (
    Material("steel", Fraction(117, 10_000_000), _HANDBOOK, "carbon steel AISI 1020"),
    Material("grey iron", Fraction(114, 10_000_000), _HANDBOOK, "grey iron G1800 to G4000"),
    Material(
        "aluminium",
        Fraction(231, 10_000_000),
        "Swyt, Journal of Research of NIST 99 (1994), p. 31",
        "aluminium of no particular grade",
    ),
    Material("aluminium 356", Fraction(215, 10_000_000), _HANDBOOK, "alloy 356.0, cast"),
    Material("bronze", Fraction(180, 10_000_000), _HANDBOOK, "bearing bronze C93200"),
    Material("brass", Fraction(205, 10_000_000), _HANDBOOK, "free-cutting brass C36000"),
    Material("stainless 304", Fraction(172, 10_000_000), _HANDBOOK, "stainless steel 304"),
    Material("magnesium", Fraction(260, 10_000_000), _HANDBOOK, "magnesium AZ91D, AZ31B"),
)
"""The materials a sheet may name."""


def material_named(name: str) -> Material | None:
    """Return the material of this name, whatever its case; None where it is not known here.

    >>> material_named("Grey Iron").expansion
    Fraction(57, 5000000)
    """
    wanted = folded(name)
    return next((material for material in MATERIALS if material.name == wanted), None)


def correction(
    part_expansion: Fraction,
    part_temperature: Fraction,
    gauge_expansion: Fraction | None = None,
    gauge_temperature: Fraction | None = None,
) -> Fraction:
    """Return what a length is multiplied by to bring it to 20 °C.

    L20 = L·(1 + α_g·(T_g − 20))/(1 + α_p·(T_p − 20)), exact.

    Args:
        part_expansion: α_p, per °C.
        part_temperature: T_p, °C.
        gauge_expansion: α_g, per °C; by default that of gauge steel.
        gauge_temperature: T_g, °C; by default the part's.

    Raises:
        ValueError: the part would have no length left at that temperature.

    Source: ISO 1, and GUM H.1.2 for the model.

    >>> correction(Fraction(18, 10**6), Fraction(30), Fraction(0), Fraction(30))
    Fraction(50000, 50009)
    """
    alpha = GAUGE_STEEL if gauge_expansion is None else gauge_expansion
    warmth = part_temperature if gauge_temperature is None else gauge_temperature
    part = 1 + part_expansion * (part_temperature - REFERENCE)
    if part <= 0:
        raise ValueError(f"a part at {part_temperature} degC has no length left")
    return (1 + alpha * (warmth - REFERENCE)) / part


def growth(expansion: Fraction, temperature: Fraction) -> Fraction:
    """Return what a length at 20 °C is multiplied by at another temperature: 1 + α(T − 20).

    >>> growth(Fraction(231, 10**7), Fraction(90))
    Fraction(1001617, 1000000)
    """
    return 1 + expansion * (temperature - REFERENCE)
