"""What a customer pays: net, tax and gross, in decimal figures that add up as they are printed.

Every sum is a whole number of cents. Material and labour are worked out from the figures of the
price list as they stand in it, and rounded, half a cent upwards; net is their sum. The tax is
worked out once, on net, and rounded likewise; gross is net and tax (common practice, no source:
which way a sum is rounded is left to each country, and mostly to the shop).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from headwater.verdict.options import Option
from headwater.verdict.prices import Prices

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Sums:
    """What an option comes to, each in whole cents; `tax` is None where none is charged."""

    material: Decimal
    labour: Decimal
    tax: Decimal | None = None

    @property
    def net(self) -> Decimal:
        """Return material and labour together."""
        return self.material + self.labour

    @property
    def gross(self) -> Decimal:
        """Return what is paid: net, and the tax where one is charged."""
        return self.net + (self.tax or 0)


def sums_of(option: Option, prices: Prices, rate: float | None = None) -> Sums | None:
    """Return what an option comes to; None where it is refused or has no total.

    `rate` is that of the tax in per cent of net.
    """
    if option.refused or option.total is None or option.minutes is None:
        return None
    lines = (as_written(charge.material or 0.0) for charge in option.charges)
    net = Sums(cents(sum(lines, Decimal(0))), labour_of(prices, option.minutes))
    if rate is None:
        return net
    return Sums(net.material, net.labour, cents(net.net * as_written(rate) / 100))


def labour_of(prices: Prices, minutes: float) -> Decimal:
    """Return what labour costs, in whole cents."""
    return cents(as_written(prices.labour) * as_written(minutes) / 60)


def cents(amount: Decimal) -> Decimal:
    """Return an amount in whole cents, half a cent upwards.

    >>> [str(cents(Decimal(text))) for text in ("2.674", "2.675", "0.005")]
    ['2.67', '2.68', '0.01']
    """
    return amount.quantize(CENT, ROUND_HALF_UP)


def as_written(figure: float) -> Decimal:
    """Return a figure as it was written, not as binary arithmetic has it.

    >>> as_written(2.675)
    Decimal('2.675')
    """
    return Decimal(repr(figure))
