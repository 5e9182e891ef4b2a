"""How much sewing a bobbin holds: stitches from its thread, hours from the stitches."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from oilchart.core.units import Speed, Unit

INCH_MM = Fraction(254, 10)
STITCH_MM = Fraction(5, 2)  # common practice, no source
# as in the published example of `seam_thread`
CLOTH_INCH = Fraction(1, 100)


def seam_thread(thickness: Fraction, stitches: Fraction) -> Fraction:
    """Thread of a lockstitch seam, needle and bobbin together: C = 2 + 2TS.

    Args:
        thickness: T, of the cloth, in any unit of length.
        stitches: S, in one unit of length.

    Returns:
        Units of length of thread for one of the seam.

    Source: published formula for stitch type 301 of ISO 4915, with the example T 0.01 in, S 10: 2.2
        in an inch.
    """
    return 2 + 2 * thickness * stitches


@dataclass(frozen=True, slots=True, kw_only=True)
class Bobbin:
    """A full bobbin.

    Args:
        metres: of thread it holds.
        stitch_mm: stitch length.
        cloth_inch: thickness of the cloth that the knot takes up, in inches.
    """

    metres: Fraction
    stitch_mm: Fraction = STITCH_MM
    cloth_inch: Fraction = CLOTH_INCH

    @property
    def thread_a_stitch_mm(self) -> Fraction:
        """Bobbin thread in one stitch: half of the seam's, the other half being the needle's."""
        return self.stitch_mm * seam_thread(self.cloth_inch, INCH_MM / self.stitch_mm) / 2

    @property
    def stitches(self) -> Fraction:
        """Stitches until it is empty."""
        return self.metres * 1000 / self.thread_a_stitch_mm

    def hours(self, speed: Speed) -> Fraction:
        """Hours at the machine until it is empty."""
        return speed.hours(self.stitches, Unit.STITCHES)
