"""Oils and greases against the standards that grade them, and drops against what was published on
them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from oilchart.core.point_lists.lubricants import (
    CONSISTENCY_CLASSES,
    VISCOSITY_GRADES,
    grade_limits,
    millilitres,
)
from oilchart.papers.wording import lubricant_words
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary

# ISO 3448:1992: grade, middle, least and most in mm2/s at 40 C; the last two rows from memory and
# by the 10 % of ASTM D2422
ISO_3448 = """
2 2.2 1.98 2.42; 3 3.2 2.88 3.52; 5 4.6 4.14 5.06; 7 6.8 6.12 7.48; 10 10 9.00 11.0;
15 15 13.5 16.5; 22 22 19.8 24.2; 32 32 28.8 35.2;
46 46 41.4 50.6; 68 68 61.2 74.8; 100 100 90.0 110;
150 150 135 165; 220 220 198 242;
320 320 288 352; 460 460 414 506; 680 680 612 748;
1000 1000 900 1100; 1500 1500 1350 1650; 2200 2200 1980 2420; 3200 3200 2880 3520
"""
# ASTM D217, note 1: worked penetration after 60 strokes at 25 C, in tenths of a millimetre
ASTM_D217 = (
    "000 445-475; 00 400-430; 0 355-385; 1 310-340; 2 265-295; 3 220-250; 4 175-205; "
    "5 130-160; 6 85-115"
)


def test_the_twenty_viscosity_grades_are_those_of_iso_3448() -> None:
    rows = [row.split() for row in ISO_3448.replace("\n", " ").split(";")]
    assert len(rows) == len(VISCOSITY_GRADES) == 20
    for grade, middle, least, most in rows:
        assert VISCOSITY_GRADES[int(grade)] == Fraction(middle)
        assert grade_limits(int(grade)) == (Fraction(least), Fraction(most))


def grades_of(viscosity: str) -> list[int]:
    """The grades of an oil of a viscosity in mm2/s at 40 C."""
    limits = {grade: grade_limits(grade) for grade in VISCOSITY_GRADES}
    return [grade for grade, ends in limits.items() if ends[0] <= Fraction(viscosity) <= ends[1]]


def test_an_oil_between_two_grades_belongs_to_none() -> None:
    assert grades_of("22") == grades_of("19.8") == grades_of("24.2") == [22]
    assert grades_of("12") == grades_of("24.3") == []
    with pytest.raises(KeyError):
        grade_limits(12)


def test_the_nine_consistency_classes_are_those_of_astm_d217() -> None:
    rows = {
        name: tuple(map(int, ends.split("-")))
        for name, ends in (row.split() for row in ASTM_D217.split("; "))
    }
    assert rows == CONSISTENCY_CLASSES
    assert (classes_of(280), classes_of(300), classes_of(325)) == (["2"], [], ["1"])


def classes_of(penetration: int) -> list[str]:
    """The consistency classes of a grease of a worked penetration."""
    classes = CONSISTENCY_CLASSES.items()
    return [name for name, (least, most) in classes if least <= penetration <= most]


def test_a_drop_lies_between_what_was_published_for_water_and_for_oil_in_air() -> None:
    # USP <1101>: 20 drops of water to the millilitre; a maker's table for sight-feed lubricators:
    # 14,115 drops of oil to the US pint
    least, likely, most = millilitres(1)
    pint = Fraction("473.176473")
    assert most == Fraction(1, 20)
    assert abs(likely - pint / 14115) < Fraction(1, 3000)
    assert least < likely < most
    assert millilitres(30) == (Fraction(3, 5), Fraction(1), Fraction(3, 2))


def test_every_lubricant_of_the_lists_says_what_its_grade_or_class_means() -> None:
    library = PointLibrary([packaged("points")])
    used = {
        p.lubricant.id: p.lubricant
        for model in library.model_ids()
        for p in library.point_list(model).points
        if p.lubricant is not None
    }
    assert lubricant_words(used["machine-oil"]).endswith(
        "(19.8 to 24.2 mm²/s at 40 °C; a drop is about 0.03 mL)"
    )
    assert lubricant_words(used["gear-grease"]).endswith("(worked penetration 310 to 340)")
    assert {each.kind for each in used.values()} == {"oil", "grease"}
