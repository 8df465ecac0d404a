"""Keep or redo as detection: does a person see faults, and which way do they lean when in doubt?

A *signal* is a frame that must be redone. Saying "redo" to it is a hit, to a good frame a false alarm::

                     said redo      said keep
    must be redone   hit            miss
    good             false alarm    rightly kept

Sources: Macmillan and Creelman, Detection Theory, 2005; log-linear correction for everybody: Hautus 1995.
"""

from __future__ import annotations

from dataclasses import dataclass

from scipy.special import ndtri


@dataclass(frozen=True, slots=True)
class Detection:
    """Counts of verdicts by what was true."""

    hits: int
    misses: int
    false_alarms: int
    rightly_kept: int

    @property
    def signals(self) -> int:
        """Frames that had to be redone."""
        return self.hits + self.misses

    @property
    def good(self) -> int:
        """Frames that were right as they were."""
        return self.false_alarms + self.rightly_kept

    @property
    def hit_rate(self) -> float:
        """Share of faulty frames that were seen, log-linear corrected, so never 0 or 1."""
        return (self.hits + 0.5) / (self.signals + 1.0)

    @property
    def false_alarm_rate(self) -> float:
        """Share of good frames that would have been redone, log-linear corrected."""
        return (self.false_alarms + 0.5) / (self.good + 1.0)

    @property
    def sensitivity(self) -> float:
        """d': how far good and faulty frames are apart in this person's eyes, in standard deviations.

        >>> round(Detection(hits=9, misses=1, false_alarms=2, rightly_kept=7).sensitivity, 4)
        1.7713
        """
        return float(ndtri(self.hit_rate) - ndtri(self.false_alarm_rate))

    @property
    def criterion(self) -> float:
        """c: above 0 lets faulty frames pass when in doubt, below 0 redoes good ones."""
        return float(-(ndtri(self.hit_rate) + ndtri(self.false_alarm_rate)) / 2.0)

    def known(self, least: int) -> bool:
        """Whether each kind of frame was judged at least so often that the criterion says something."""
        return self.signals >= least and self.good >= least


__all__ = ["Detection"]
