"""Valid ranges: a single number outside is refused by name, an array element becomes NaN."""

from __future__ import annotations

from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
"""An array of 64-bit floats."""

Number = TypeVar("Number", float, FloatArray)
"""A single float, or an array of them: a function gives back what it was given."""


class OutOfRangeError(ValueError):
    """A number outside what a method holds for; the text names it, its value and the range."""


def in_range(
    name: str,
    value: float | FloatArray,
    low: float | FloatArray,
    high: float | FloatArray,
    unit: str = "",
) -> FloatArray:
    """Give ``value`` as an array, with NaN where it is outside ``low`` to ``high``.

    Args:
        name: What the value is, for the message.
        value: One number, or an array of them.
        low: Lowest valid value.
        high: Highest valid value.
        unit: Unit of all three, for the message.

    Raises:
        ValueError: If ``value`` is a single number and outside, or not a number.

    >>> in_range("salinity", 50.0, 0, 42, "psu")
    Traceback (most recent call last):
    ...
    journal_tools.science.validity.OutOfRangeError: salinity 50 psu is outside 0 to 42 psu
    >>> in_range("salinity", np.array([35.0, 50.0]), 0, 42, "psu")
    array([35., nan])
    """
    numbers = np.asarray(value, dtype=np.float64)
    inside = (numbers >= low) & (numbers <= high)
    if inside.ndim == 0 and not inside:
        shown = [f"{float(number):.6g}" for number in (numbers, low, high)]
        suffix = f" {unit}" if unit else ""
        raise OutOfRangeError(
            f"{name} {shown[0]}{suffix} is outside {shown[1]} to {shown[2]}{suffix}"
        )
    return np.where(inside, numbers, np.nan)


def in_scalar_range(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Give ``value`` unchanged where it lies in ``low`` to ``high``.

    Args:
        name: What the value is, for the message.
        value: The number.
        low: Lowest valid value.
        high: Highest valid value.
        unit: Unit of all three, for the message.

    Raises:
        ValueError: If it is outside, or not a number.

    >>> in_scalar_range("length", 90.0, 0, 1000, "cm")
    90.0
    """
    return float(in_range(name, value, low, high, unit))


def as_given(result: FloatArray, given: Number) -> Number:
    """Give ``result`` as a plain float where it is a single number, else as an array.

    Args:
        result: What was computed.
        given: The first input, for the type checker: a float gives a float.

    >>> as_given(np.asarray(35.0), 25.0)
    35.0
    """
    del given
    plain = float(result) if np.ndim(result) == 0 else result
    return cast("Number", plain)
