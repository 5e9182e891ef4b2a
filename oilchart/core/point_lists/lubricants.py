"""What oils and greases are sold by: viscosity grades, consistency classes, and how much a drop
is."""

from __future__ import annotations

from fractions import Fraction

# Middle of each viscosity grade in mm2/s at 40 C; a grade reaches 10 % to either side. ISO
# 3448:1992; the last two grades from memory.
VISCOSITY_GRADES: dict[int, Fraction] = {
    grade: Fraction(middle)
    for grade, middle in {
        2: "2.2",
        3: "3.2",
        5: "4.6",
        7: "6.8",
        **{
            grade: str(grade)
            for grade in (
                10,
                15,
                22,
                32,
                46,
                68,
                100,
                150,
                220,
                320,
                460,
                680,
                1000,
                1500,
                2200,
                3200,
            )
        },
    }.items()
}
GRADE_WIDTH = Fraction(1, 10)

# Worked penetration of each consistency class in tenths of a millimetre at 25 C after 60 strokes:
# least and most. ASTM D217, note 1.
CONSISTENCY_CLASSES: dict[str, tuple[int, int]] = {
    "000": (445, 475),
    "00": (400, 430),
    "0": (355, 385),
    "1": (310, 340),
    "2": (265, 295),
    "3": (220, 250),
    "4": (175, 205),
    "5": (130, 160),
    "6": (85, 115),
}

# A drop from a needle oiler is a thirtieth of a millilitre, and drops of 20 to 50 a millilitre are
# met. Common practice, no source; a
# sight-feed lubricator's drop of oil in air is 14,115 to the US pint (a lubricator maker's table),
# 29.8 to the millilitre.
DROPS_A_MILLILITRE = 30
FEWEST_DROPS, MOST_DROPS = 20, 50


def grade_limits(grade: int) -> tuple[Fraction, Fraction]:
    """Least and most viscosity of a grade in mm2/s at 40 C.

    Raises:
        KeyError: there is no such grade.
    """
    middle = VISCOSITY_GRADES[grade]
    return middle * (1 - GRADE_WIDTH), middle * (1 + GRADE_WIDTH)


def millilitres(drops: int) -> tuple[Fraction, Fraction, Fraction]:
    """What drops of oil come to: at least, likely and at most, in millilitres."""
    return (
        Fraction(drops, MOST_DROPS),
        Fraction(drops, DROPS_A_MILLILITRE),
        Fraction(drops, FEWEST_DROPS),
    )
