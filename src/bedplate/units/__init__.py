"""Trade units, exact quantities, and the one strict reader of what people type.

Values are `Fraction` throughout; conversion is pint's, with our own exact definitions.
"""

from bedplate.units.decimals import decimal_text, root_text, round_up_root, rounded
from bedplate.units.quantities import (
    read_duration,
    read_exact,
    read_expansion,
    read_limits,
    read_temperature,
)
from bedplate.units.registry import convert, dimension, factor, system, unit_named
from bedplate.units.typed import Typed, read_value

__all__ = [
    "Typed",
    "convert",
    "decimal_text",
    "dimension",
    "factor",
    "read_duration",
    "read_exact",
    "read_expansion",
    "read_limits",
    "read_temperature",
    "read_value",
    "root_text",
    "round_up_root",
    "rounded",
    "system",
    "unit_named",
]
