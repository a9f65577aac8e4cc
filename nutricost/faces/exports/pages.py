"""Self-contained HTML pages: comparison, recipe card, trace, bag labels. No script, nothing fetched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from nutricost.domain.comparison.bases import BASES
from nutricost.domain.quantities.display import shown, shown_range

if TYPE_CHECKING:
    from nutricost.api.cards import Card
    from nutricost.api.comparing import Comparison
    from nutricost.domain.packing.bag_label import BagLabel
    from nutricost.domain.payback import CashPoint
    from nutricost.domain.quantities import Figure
    from nutricost.faces.exports.pictures import Picture


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=PackageLoader("nutricost.faces.exports"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(shown=shown, shown_range=shown_range)
    return environment


def _page(name: str, **values: Any) -> str:
    return _templates().get_template(name).render(**values)


def comparison_page(comparison: Comparison, curves: Mapping[str, Sequence[CashPoint]] | None = None) -> str:
    """The comparison with pictures; `curves` (money over time by what is replaced) adds the payback."""
    from nutricost.api.tables import comparison_headings, offer_figures, statements_by_pair

    headings = comparison_headings(comparison)
    return _page(
        "comparison.html.j2",
        comparison=comparison,
        basis=BASES[comparison.basis],
        tables=[
            ("What it is", [heading for heading in headings if not heading.is_measure]),
            ("What it gives", [heading for heading in headings if heading.is_measure]),
        ],
        rows=[(offer, offer_figures(offer, comparison.basis)) for offer in comparison.offers],
        said=statements_by_pair(comparison.statements),
        pictures=[
            (f"picture{i}", picture, _inline(picture, f"picture{i}"))
            for i, picture in enumerate(comparison_pictures(comparison, curves), start=1)
        ],
    )


def comparison_pictures(
    comparison: Comparison, curves: Mapping[str, Sequence[CashPoint]] | None = None
) -> list[Picture]:
    """The pictures that go with a comparison, in reading order; those without numbers are left out."""
    from nutricost.api.sensitivity import home_sensitivities
    from nutricost.faces.exports.pictures import (
        cost_picture,
        energy_picture,
        payback_picture,
        sensitivity_picture,
    )

    what = f"kcal per {comparison.currency}"
    pictures = [energy_picture(comparison), cost_picture(comparison)]
    pictures += [
        sensitivity_picture(found, offer.name, what) for offer, found in home_sensitivities(comparison.offers)
    ]
    if curves:
        pictures.append(payback_picture(curves, comparison.currency))
    return [picture for picture in pictures if picture.rows]


def _inline(picture: Picture, prefix: str) -> Markup:
    from nutricost.faces.exports.pictures import inline_svg

    # The drawing library has escaped every text of the picture.
    return Markup(inline_svg(picture, prefix))


def card_page(card: Card, gas_per_litre: Figure | None = None) -> str:
    """The recipe card, to print and keep with the bags."""
    from nutricost.api.card_tables import card_parts

    return _page(
        "card.html.j2",
        card=card,
        parts=card_parts(card, gas_per_litre),
        dangers=[caution for caution in card.cautions if caution.severity == "danger"],
        cautions=[caution for caution in card.cautions if caution.severity != "danger"],
    )


def trace_page(figure: Figure, path_text: str) -> str:
    """How a figure came about, folding; `path_text` is its path in the JSON."""
    from nutricost.api.tracing import trace_steps

    return _page("trace.html.j2", root=trace_steps(figure), path=path_text)


def labels_page(labels: Sequence[BagLabel]) -> str:
    """Bag labels in two columns, to print and cut."""
    return _page("labels.html.j2", labels=labels)
