"""How long a packed batch is likely to be at its best. 'Best by', never 'safe until'.

No public body's range for home freeze-dried food could be verified: a university extension is quoted with
'several months' in ordinary bags or jars and 'many years' when properly dried and packed (second-hand). The
months below put numbers to these words: common practice, no source.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import MAXYEAR, date
from decimal import Decimal

from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

FATTY_FRACTION_OF_SOLIDS = Decimal("0.5")
MOIST = Decimal("0.10")
SOURCE = "extension advice in a newspaper column (second-hand), put into months by common practice, no source"

# (least, most) months by (without oxygen, fatty).
_MONTHS = {
    (False, False): (3, 12),
    (False, True): (1, 3),
    (True, False): (24, 120),
    (True, True): (6, 12),
}


@dataclass(frozen=True, slots=True)
class Keeping:
    """When a bag is likely to be past its best: the range in months and as dates, and the words for it."""

    months: tuple[int, int]
    best_by: date | None
    latest: date | None
    text: str
    source: str = SOURCE


def keeping(
    packed_on: date | None,
    *,
    oxygen_free: bool,
    fat_fraction_of_solids: Decimal | None = None,
    residual_moisture: Figure | None = None,
) -> Keeping | None:
    """The best-by range of a bag, or None where it is too moist to keep (above about 10 %).

    `best_by` is the near end of the range. Fat above half of the solids shortens it. Raises InputError
    where the calendar ends before the range does.
    """
    if residual_moisture is not None and residual_moisture.is_known and residual_moisture.high > MOIST:
        return None
    fatty = fat_fraction_of_solids is not None and fat_fraction_of_solids > FATTY_FRACTION_OF_SOLIDS
    months = _MONTHS[oxygen_free, fatty]
    ends = (None, None) if packed_on is None else tuple(months_later(packed_on, count) for count in months)
    how = "packed without oxygen" if oxygen_free else "in ordinary bags or jars"
    why = ", shortened because of its fat" if fatty else ""
    near = "" if ends[0] is None else f"best by {ends[0].isoformat()}; "
    text = (
        f"{near}likely at its best for {months[0]} to {months[1]} months {how}, cool, dark and dry{why}. "
        "Quality only, no promise."
    )
    return Keeping(months, ends[0], ends[1], text)


def months_later(day: date, months: int) -> date:
    """The same day some months later, the last of the month where that day does not exist.

    Raises InputError where the calendar ends before.
    """
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    if year > MAXYEAR:
        raise InputError(f"{day.isoformat()}: no date {months} months later (accepted: a date of our time)")
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))
