"""Reading a machine: a freeze dryer and what it costs to have and to run."""

from __future__ import annotations

from functools import partial

from nutricost.domain.documents import Machine
from nutricost.domain.quantities import Figure
from nutricost.sources.documents.loading import Source, load_toml, source_name
from nutricost.sources.documents.tables import Document, Table, needed
from nutricost.sources.documents.values import FRACTION, NOT_NEGATIVE, POSITIVE


def read_machine(source: Source) -> Machine:
    """The machine in a TOML document. Raises DocumentError with every problem of the document."""
    name = source_name(source)
    document = Document(name, load_toml(source))
    root = document.root
    document.read_currency()
    price = root.money("price", "price of the machine", required="what the machine cost, such as 2500")
    make = partial(
        Machine,
        where=name,
        currency=document.money_unit,
        accessories=_accessories(root),
        batches_per_month=root.amount("batches_per_month", "batch/month", "batches a month"),
        trays=root.amount("trays", "tray", "trays of the machine"),
        tray_capacity=root.quantity("tray_capacity", "mass", "what a tray holds"),
        cycle_hours=root.quantity("cycle_hours", "time", "hours of a cycle", bare=True),
        turnaround_hours=root.quantity(
            "turnaround_hours", "time", "hours between cycles", NOT_NEGATIVE, bare=True
        ),
        energy_per_cycle=root.quantity("energy_per_cycle", "energy", "electricity of a cycle"),
        price_per_kwh=root.money("price_per_kwh", "price of electricity", per="kWh"),
        oil_per_cycle=root.money("oil_per_cycle", "pump oil of a cycle"),
        resale_value=root.money("resale_value", "resale value"),
        resale_after_years=root.number("resale_after_years", POSITIVE),
        discount_rate=root.number("discount_rate", FRACTION),
    )
    document.finish()
    return make(price=needed(price))


def _accessories(root: Table) -> dict[str, Figure]:
    """One amount, or a table of named amounts."""
    if isinstance(root.values.get("accessories"), dict):
        table = root.table("accessories")
        return table.named_money() if table else {}
    amount = root.money("accessories", "accessories")
    return {"accessories": amount} if amount is not None else {}
