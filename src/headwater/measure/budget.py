"""The small uncertainty budget of a gauge at the bench (GUM, JCGM 100:2008).

Three things blur a reading: it scatters when repeated (type A, 4.2.3: s / √n), the scale has
steps (a rectangle of full width d, 4.3.7: d / √12), and the gauge was compared with something
itself uncertain (certificate, 4.3.3: U / k). They add as squares (5.1.2). All share one unit.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from headwater.measure.faults import MeasureError, not_negative, positive


@dataclass(frozen=True, slots=True)
class Budget:
    """Mean of the readings and where its standard uncertainty comes from, in their unit."""

    mean: float
    spread: float
    from_readings: float
    from_resolution: float
    from_certificate: float
    combined: float
    degrees_of_freedom: float

    def expanded(self, coverage: float = 2.0) -> float:
        """Return U = k u; k = 2 covers about 95 %."""
        return coverage * self.combined


def budget(
    readings: Sequence[float],
    resolution: float = 0.0,
    certificate: float = 0.0,
    coverage: float = 2.0,
) -> Budget:
    """Combine repeated readings, resolution and certificate into one standard uncertainty.

    `certificate` is the expanded uncertainty stated with factor `coverage`. One reading has no
    scatter to show: give a resolution or a certificate then, or u comes out as 0. Degrees of
    freedom by Welch-Satterthwaite (GUM G.4.1), infinite when nothing scattered.

    >>> round(budget([0.112, 0.115, 0.110, 0.114, 0.113], 0.001, 0.004).combined, 6)
    0.002196
    """
    if not readings or not all(math.isfinite(value) for value in readings):
        raise MeasureError("a budget needs at least one reading, all of them finite numbers")
    n = len(readings)
    spread = statistics.stdev(readings) if n > 1 else 0.0
    from_readings = spread / math.sqrt(n)
    from_resolution = not_negative(resolution, "the resolution") / math.sqrt(12)
    from_certificate = not_negative(certificate, "the certificate's uncertainty") / positive(
        coverage, "the coverage factor"
    )
    combined = combine(from_readings, from_resolution, from_certificate)
    scatter = (from_readings / combined) ** 4 if combined else 0.0
    freedom = (n - 1) / scatter if scatter else math.inf
    return Budget(
        math.fsum(readings) / n,
        spread,
        from_readings,
        from_resolution,
        from_certificate,
        combined,
        freedom,
    )


def combine(*parts: float) -> float:
    """Return the root of the sum of squares of independent standard uncertainties (GUM 5.1.2)."""
    return math.hypot(*parts)
