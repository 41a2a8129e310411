"""Bolts: what a tightening torque, a stretch and an angle amount to.

All of it is for reckoning and comparing; how tight a fastener must be is for its maker's sheet alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from benchvoice.domain.figures import Basis

STEEL_MPA = 206_843.0
"""Young's modulus of steel, 30 million psi (from memory)."""
_THREAD = 0.9382
"""Of the pitch, off the nominal diameter: ISO 898-1, nominal stress area of ISO metric threads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """Proof stress (MPa) of a property class, for bolts over `above` and up to `up_to` mm."""

    property_class: str
    mpa: float
    above: float
    up_to: float
    basis: Basis


def stress_area(diameter: float, pitch: float) -> float:
    """Area (mm2) that a metric bolt's tensile stress is reckoned on: pi/4 (d - 0.9382 P)^2, ISO 898-1; d and P in mm.

    Worked by hand: M12 x 1.75: 12 - 1.642 = 10.358; 0.7854 x 107.29 = 84.3.

    >>> round(stress_area(12.0, 1.75), 1)
    84.3

    Raises ValueError for sizes that make no thread.
    """
    core = diameter - _THREAD * pitch
    if pitch <= 0 or core <= 0:
        raise ValueError(f"no thread of {diameter} x {pitch}")
    return math.pi / 4 * core * core


def proof_stress(property_class: str, diameter: float, table: Sequence[Proof]) -> Proof | None:
    """The row of the table (ISO 898-1) for a class and nominal diameter in mm, None if it isn't known.

    >>> from benchvoice.measure.tables import load
    >>> [proof_stress("8.8", d, load().proof).mpa for d in (12.0, 18.0)]
    [580.0, 600.0]
    """
    rows = (row for row in table if row.property_class == property_class and row.above < diameter <= row.up_to)
    return next(rows, None)


def preload(torque: float, diameter: float, friction: float) -> float:
    """Tension (N) that a torque (N m) puts on a bolt of that diameter (mm): T/(K d), K the nut factor.

    Worked by hand: 88 N m on M12 with K = 0.2: 88,000/(0.2 x 12) = 36,667 N.

    >>> round(preload(88.0, 12.0, 0.2))
    36667

    Raises ValueError for a diameter or factor that is not positive.
    """
    if diameter <= 0 or friction <= 0:
        raise ValueError("diameter and nut factor must be positive")
    return 1000 * torque / (friction * diameter)


def elastic_stretch(stress: float, length: float, modulus: float = STEEL_MPA) -> float:
    """How much a bolt of that length grows under a stress, in the unit of length: stress length / modulus (Hooke);
    stress and modulus in one unit.

    Worked by hand: 170,000 psi over 1.6 in, modulus 30 million psi: 0.0091 in.

    >>> round(elastic_stretch(170e3, 1.6, 30e6), 4)
    0.0091
    """
    return stress * length / modulus


def travel(degrees: float, pitch: float) -> float:
    """How far a nut goes along the thread when it is turned by an angle, in the unit of the pitch: pitch angle/360.

    Worked by hand: a quarter turn at 1.5 mm: 0.375 mm.

    >>> travel(90.0, 1.5)
    0.375
    """
    return pitch * degrees / 360
