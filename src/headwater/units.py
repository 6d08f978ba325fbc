"""Read and show what a gauge says: a number with its unit, in shop or SI spelling.

Every quantity is kept in one base unit per dimension (mm, Nm, °C ...), so that arithmetic never
meets a mixture (`unittable` has them).

How numbers are read:

- a decimal point or a decimal comma: `1.14 mm`, `1,14 mm`, `0,045 in`;
- never a thousands mark. `1,140 mm` could mean 1.14 or 1140 and is refused with both spellings;
- fractions and mixed fractions: `3/64 in`, `1 1/2 in`, `1-1/2 in`;
- a typographic minus counts as a minus;
- a tolerance behind ± is an expanded uncertainty with k = 2, as a certificate states it;
- `about 1 mm`, `~1 mm` and `1 mm or so` are read as rough (`estimates` says how rough).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from headwater.errors import HeadwaterError
from headwater.estimates import plain_of, standard_uncertainty
from headwater.unittable import ASKED_BACK, UNITS, Unit

COVERAGE_FACTOR: Final = 2.0
"""What a figure behind ± is divided by: certificates state U = k u with k = 2 (GUM 6.3)."""

_LARGEST: Final = 1e12  # nothing in a workshop is larger in any base unit
_LONGEST: Final = 120  # characters; keeps the error one line


class UnitError(HeadwaterError):
    """A reading that cannot be understood; the message says how to write it."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the base unit of its dimension, and the text it was read from."""

    value: float
    dimension: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class MeanSpread:
    """Several readings of one thing: mean, sample standard deviation (base unit) and their number.

    `deviation` is 0 for a single reading; `low` and `high` are the extremes.
    """

    mean: Quantity
    deviation: float
    count: int
    low: float
    high: float


# If the caller says nothing, `82 C` is a temperature, `5 lb` a mass, `2 m` a length, `3` a count.
_FIRST_MEANING: Final = ("temperature", "mass", "length", "count")

_SIGNS: Final = str.maketrans("²³¹µμº″”", '231uu°""', "·⋅∙•*×.-−⁻^ \t\u00a0\u2009\u202f")
_NUMBER: Final = re.compile(
    r"\s*(?P<sign>[+-]?)\s*"
    r"(?:(?:(?P<whole>\d{1,6})(?:\s+|-))?(?P<top>\d{1,6})/(?P<bottom>\d{1,6})(?![\d.,])"
    r"|(?P<decimal>\d+(?:[.,]\d+)?|[.,]\d+)(?P<power>[eE][+-]?\d{1,3})?(?![\d]|[.,]\d))"
)
_GEARING: Final = re.compile(r"\s*(\S+?)\s*:\s*(\S+)\s*")
_LIST_MARK: Final = re.compile(r"\s*;\s*|,\s+|\s+and\s+")


def dimensions() -> tuple[str, ...]:
    """Return the names of every dimension a reading can have."""
    return tuple(UNITS)


def units_of(dimension: str) -> tuple[str, ...]:
    """Return the units shown for a dimension, the base unit first.

    >>> units_of("viscosity")
    ('mm2/s', 'm2/s')
    """
    return tuple(unit.name for unit in _family(dimension))


def base_unit(dimension: str) -> str:
    """Return the base unit of a dimension; empty where a bare number is meant."""
    return _family(dimension)[0].name


def parse_quantity(text: str, dimension: str | None = None) -> Quantity:
    """Read one number with its unit.

    Without a `dimension` it is taken from the unit; a bare number is then a count. Raises
    `UnitError` when the number or the unit cannot be read, or the unit belongs elsewhere.

    >>> parse_quantity("45 thou", "length").value
    1.143
    >>> parse_quantity("2.72:1").dimension
    'ratio'
    """
    text = _shown(text)
    number, spelling, gearing = _split(text)
    if gearing:
        _refuse_other(text, "ratio", dimension)
        return _quantity(number, UNITS["ratio"][0], "ratio", text)
    found, unit = _find_unit(spelling, dimension, text)
    return _quantity(number, unit, found, text)


def parse_uncertain(
    texts: str | Iterable[str | float], dimension: str | None = None
) -> tuple[Quantity, float]:
    """Read one or several readings that may carry an uncertainty, `80.02, 80.03 mm ± 0.002 mm`.

    Returns their mean and its standard uncertainty in the base unit: half the figure behind ± (or
    `+/-`), which is an expanded uncertainty with k = 2, and the scatter s / √n of several
    readings, added as squares (GUM 5.1.2); 0 when neither is given. A reading said to be rough
    ('about 1 mm') without ± has the uncertainty of `estimates`, which a mean does not narrow.

    >>> parse_uncertain("80.02 ± 0.002 mm", "length")[1]
    0.001
    """
    text = texts if isinstance(texts, str) else "; ".join(split_readings(texts))
    head, mark, tail = text.replace("+/-", "±").partition("±")
    parts, off_by = _without_about(head)
    spread, spelling = 0.0, _split(_shown(parts[-1]))[1]
    if mark:
        if "±" in tail:
            raise UnitError(f"'{_shown(text)}': write one ± behind the last reading")
        spread, own, _ = _split(_shown(tail))
        if own and not spelling:
            parts[-1] = f"{parts[-1]} {own}"
        spelling = own or spelling
    mean = (summary := mean_and_spread(parse_quantities(parts, dimension))).mean
    if spread < 0:
        raise UnitError(f"'{_shown(text)}': the figure behind ± cannot be negative")
    # An uncertainty is a difference: the zero of a temperature scale has no part in it.
    unit = _find_unit(spelling, mean.dimension, _shown(text))[1] if mark or off_by else None
    half = spread / COVERAGE_FACTOR if mark else standard_uncertainty(off_by)
    given = half * unit.factor if unit else 0.0
    either = math.hypot(given, summary.deviation / math.sqrt(summary.count))
    if not either <= _LARGEST:
        raise UnitError(f"'{_shown(text)}': the figure behind ± is too large; check the number")
    return Quantity(_clean(mean.value), mean.dimension, text.strip()), either


def _without_about(text: str) -> tuple[list[str], float]:
    whole, rough = plain_of(text)
    told = [plain_of(part) for part in split_readings(whole)]
    return [plain for plain, _ in told], max(rough, *(off_by for _, off_by in told))


def parse_quantities(
    texts: str | Iterable[str | float], dimension: str | None = None
) -> tuple[Quantity, ...]:
    """Read several readings: one text (`1.14, 1.12 mm`) or a list of texts and numbers.

    A reading without a unit takes the unit of the last one. In one text readings are parted by a
    comma and a blank, by a semicolon or by 'and'; a comma without a blank is a decimal comma.

    >>> [q.value for q in parse_quantities("1,14, 1,12 mm", "length")]
    [1.14, 1.12]
    """
    parts = split_readings(texts)
    _, last, gearing = _split(_shown(parts[-1]))
    readings = []
    for part in parts:
        _, own, own_gearing = _split(_shown(part))
        borrow = last and not own and not own_gearing and not gearing
        quantity = parse_quantity(f"{part} {last}" if borrow else part, dimension)
        dimension = dimension or quantity.dimension
        readings.append(Quantity(quantity.value, quantity.dimension, part.strip()))
    return tuple(readings)


def split_readings(texts: str | Iterable[str | float]) -> tuple[str, ...]:
    """Part a text or a list into the texts of the single readings; at least one."""
    if isinstance(texts, str):
        parts = [part for part in _LIST_MARK.split(texts) if part.strip()]
    else:
        parts = [str(part) for part in texts]
    if not parts:
        raise UnitError("no reading given: write a number and its unit, such as 1.14 mm")
    return tuple(parts)


def mean_and_spread(readings: Sequence[Quantity]) -> MeanSpread:
    """Return mean and sample standard deviation (GUM 4.2.2) of readings of one dimension."""
    if not readings:
        raise UnitError("no reading given: a mean needs at least one")
    dimension = readings[0].dimension
    for reading in readings:
        _refuse_other(reading.text, reading.dimension, dimension)
    values = [reading.value for reading in readings]
    mean = math.fsum(values) / len(values)
    squares = math.fsum((value - mean) ** 2 for value in values)
    deviation = math.sqrt(squares / (len(values) - 1)) if len(values) > 1 else 0.0
    text = ", ".join(reading.text for reading in readings)
    return MeanSpread(
        Quantity(mean, dimension, text), deviation, len(values), min(values), max(values)
    )


def convert(quantity: Quantity, unit: str) -> float:
    """Return the number a quantity has in another unit of its dimension.

    >>> convert(parse_quantity("1 in"), "mm")
    25.4
    """
    _, found = _find_unit(_key(unit), quantity.dimension, unit)
    return _clean((quantity.value - found.offset) / found.factor)


def show(quantity: Quantity, unit: str | None = None, digits: int | None = None) -> str:
    """Return the quantity as text, in `unit` or the base unit.

    `digits` fixes the decimals. Without it the decimals worth reading in that unit are shown, at
    least two significant figures of a small value, and no idle zeros.

    >>> show(parse_quantity("0.045 in"))
    '1.143 mm'
    >>> show(parse_quantity("1.143 mm"), "thou", digits=1)
    '45.0 thou'
    >>> show(parse_quantity("2.72:1"), ":1")
    '2.72:1'
    """
    found = _find_unit(_key(unit or ""), quantity.dimension, unit or "", base_when_bare=True)[1]
    number = _plain(_clean((quantity.value - found.offset) / found.factor), found.decimals, digits)
    if unit and _key(unit) == ":1":
        return f"{number}:1"
    return f"{number}{'' if found.name in ('', '°') else ' '}{found.name}"


def _plain(number: float, decimals: int, digits: int | None) -> str:
    if digits is not None:
        text = f"{number:.{digits}f}"
    else:
        size = math.floor(math.log10(abs(number))) if number else 0
        text = f"{number:.{max(decimals, min(1 - size, 12) if size < 0 else 0)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.lstrip("-") if not text.strip("-0.") else text


def _quantity(number: float, unit: Unit, dimension: str, text: str) -> Quantity:
    value = number * unit.factor + unit.offset
    if not abs(value) <= _LARGEST:
        raise UnitError(f"'{text}': too large for {_spoken(dimension)}; check the number")
    if dimension == "temperature" and value < -273.15 - 1e-9:
        raise UnitError(f"'{text}': below absolute zero (-273.15 °C); check the sign and the unit")
    return Quantity(_clean(value), dimension, text)


def _clean(value: float) -> float:
    # 45 thou would become 1.1429999999999998 mm, above 1.143 mm; no gauge has twelve figures.
    return float(f"{value:.12g}")


def _shown(text: str) -> str:
    text = " ".join(text.split())  # keeps every message one line
    if len(text) > _LONGEST:
        raise UnitError(f"'{text[:40]}...': too long for a reading; write a number and its unit")
    return text


def _split(text: str) -> tuple[float, str, bool]:
    """Return the number, the normalised unit, and whether it was written as `a:b`."""
    plain = text.replace("−", "-")
    plain = "-" + plain[1:] if plain[:1] == "–" else plain
    gearing = _GEARING.fullmatch(plain)
    if gearing:
        over, under = (_bare_number(part, text) for part in gearing.groups())
        if not under:
            raise UnitError(f"'{text}': a ratio cannot be to 0; write it such as 2.72:1")
        return over / under, "", True
    match = _NUMBER.match(plain)
    if not match:
        raise UnitError(_no_number(text))
    return _value(match, text), _key(plain[match.end() :]), False


def _bare_number(part: str, text: str) -> float:
    match = _NUMBER.fullmatch(part)
    if not match:
        raise UnitError(f"'{text}': not a ratio; write it such as 2.72:1")
    return _value(match, text)


def _value(match: re.Match[str], text: str) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"] is None:
        if not int(match["bottom"]):
            raise UnitError(f"'{text}': a fraction cannot have 0 below the line")
        fraction = int(match["top"]) / int(match["bottom"])
        return sign * (int(match["whole"] or 0) + fraction)
    decimal = match["decimal"]
    whole, comma, rest = decimal.partition(",")
    if comma and len(rest) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0":
        raise UnitError(
            f"'{text}': {decimal} can be read in two ways; write {whole}{rest} or {whole}.{rest}"
        )
    return sign * float(decimal.replace(",", ".") + (match["power"] or ""))


def _no_number(text: str) -> str:
    if re.search(r"\d[.,]\d+[.,]\d", text):
        return (
            f"'{text}': write one decimal sign and no thousands marks; "
            "part several readings with a comma and a blank"
        )
    return f"'{text}': not a reading; write a number and its unit, such as 1.14 mm"


def _key(unit: str) -> str:
    return unit.casefold().translate(_SIGNS)


def _family(dimension: str) -> tuple[Unit, ...]:
    try:
        return UNITS[dimension]
    except KeyError:
        raise UnitError(f"'{dimension}' is no dimension; known are {', '.join(UNITS)}") from None


def _spellings(family: tuple[Unit, ...]) -> dict[str, Unit]:
    known = {spelling: unit for unit in family for spelling in unit.spellings.split()}
    if not family[0].name:  # a bare number is the whole reading
        known[""] = family[0]
    return known


_BY_SPELLING: Final = MappingProxyType(
    {dimension: _spellings(family) for dimension, family in UNITS.items()}
)


def _find_unit(
    key: str, dimension: str | None, text: str, *, base_when_bare: bool = False
) -> tuple[str, Unit]:
    """Return dimension and unit of a normalised spelling, or say what would be accepted."""
    if key in ASKED_BACK:
        raise UnitError(f"'{text}': '{key}' is {ASKED_BACK[key]}")
    if dimension is not None:
        family = _family(dimension)
        if not key and base_when_bare:
            return dimension, family[0]
        found = _BY_SPELLING[dimension].get(key)
        if found:
            return dimension, found
    meanings = [name for name, known in _BY_SPELLING.items() if key in known]
    if not meanings:
        raise UnitError(_unknown(key, dimension, text))
    if dimension is None:
        first = next((name for name in _FIRST_MEANING if name in meanings), meanings[0])
        return first, _BY_SPELLING[first][key]
    if not key:
        raise UnitError(f"'{text}': the unit is missing; {_written(dimension)}")
    raise UnitError(_other(text, meanings, dimension))


def _refuse_other(text: str, given: str, wanted: str | None) -> None:
    if wanted is not None and given != wanted:
        raise UnitError(_other(text, [given], wanted))


def _other(text: str, given: list[str], wanted: str) -> str:
    is_a = " or ".join(_spoken(name) for name in given)
    return f"'{text}' is {is_a}, but {_spoken(wanted)} is wanted; {_written(wanted)}"


def _written(dimension: str) -> str:
    names = [name for name in units_of(dimension) if name]
    if not names:
        return {"ratio": "write 2.72:1 or a bare number"}.get(dimension, "write a bare number")
    return f"{_spoken(dimension)} is written in {', '.join(names)}"


def _spoken(dimension: str) -> str:
    noun = {"percent": "percentage", "rotation": "speed of rotation"}.get(dimension, dimension)
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun.replace('-', ' ')}"


def _unknown(key: str, dimension: str | None, text: str) -> str:
    if re.match(r"\d", key):
        return f"'{text}': more than one number; part several readings with a comma and a blank"
    import difflib  # only when something is misspelt: keeps the cold start short

    families = [dimension] if dimension else list(UNITS)
    known = {s: unit.name for name in families for s, unit in _BY_SPELLING[name].items() if s}
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    hint = f"; did you mean {known[near[0]]}?" if near and known[near[0]] else ""
    if not hint and dimension:
        hint = f"; {_written(dimension)}"
    return f"'{text}': the unit '{key}' is not known{hint}"
