"""What a bobbin holds, from the published thread formula of the lockstitch to hours at the
machine."""

from __future__ import annotations

from fractions import Fraction

import pytest

from oilchart.core.units import Speed, Unit
from oilchart.core.use.bobbin import Bobbin, seam_thread


def test_seam_thread_is_that_of_the_published_example() -> None:
    # Published formula for stitch type 301 (ISO 4915): C = 2 + 2TS; its example: T 0.01 in, S 10:
    # 2.2 in of thread in an inch of seam
    assert seam_thread(Fraction(1, 100), Fraction(10)) == Fraction(22, 10)


def test_a_million_stitches_at_800_a_minute_are_20_83_needle_hours() -> None:
    # arithmetic: 1,000,000 / 800 / 60
    hours = Speed(needle_share=Fraction(1)).hours(Fraction(1_000_000), Unit.STITCHES)
    assert round(hours, 2) == Fraction(2083, 100)


def test_a_bobbin_of_60_metres_holds_21_786_stitches_and_1_82_hours() -> None:
    # 2.5 mm stitches are 25.4 / 2.5 = 10.16 an inch; bobbin thread a stitch: 2.5 x (2 + 2 x 0.01 x
    # 10.16) / 2 = 2.754 mm;
    # 60,000 / 2.754 = 21,786.5; / 800 / 60 = 0.45389 needle hours; / 0.25 = 1.81554 hours at the
    # machine
    bobbin = Bobbin(metres=Fraction(60))
    assert bobbin.thread_a_stitch_mm == Fraction(2754, 1000)
    assert int(bobbin.stitches) == 21_786
    assert round(bobbin.hours(Speed()), 5) == Fraction(181554, 100000)


@pytest.mark.parametrize(("stitch_mm", "longer"), [(Fraction(1), True), (Fraction(4), False)])
def test_short_stitches_make_a_bobbin_last_longer(stitch_mm: Fraction, longer: bool) -> None:
    plain, other = Bobbin(metres=Fraction(60)), Bobbin(metres=Fraction(60), stitch_mm=stitch_mm)
    assert (other.hours(Speed()) > plain.hours(Speed())) is longer
