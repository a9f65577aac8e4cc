"""The part of the text card after the money: trays, packing, keeping, reheating, rehydration, fuel."""

from __future__ import annotations

from typing import Any

import click

from nutricost.faces.cli.output import WIDTH, print_heading, print_list, print_table


def print_keeping(view: Any) -> None:
    """Packing, keeping and rehydration of a card's public form."""
    from nutricost.domain.quantities.display import shown, shown_with_range

    _print_trays(view["drying"]["trays"])
    _print_packing(view["packing"], view["currency"])
    print_list(
        "Will it dry and keep well?",
        [f"{each['text']} {each['what_to_do']} [{each['standing']}]" for each in view["advice"]],
    )
    lines = []
    if view["reheating"] is not None:
        lines.append(view["reheating"]["text"])
    kept = view["rehydration"]
    if kept is not None and kept["water_used"].is_known:
        how = f"{shown(kept['water_used'])} mL a serving was used"
        if kept["minutes"] is not None:
            how += f" and {kept['minutes']:f} minutes"
        if kept["ratio"].is_known:
            how += (
                f", {shown_with_range(kept['ratio'])} times the {shown(kept['water_computed'])} mL computed"
            )
        lines.append(f"As it turned out: {how}.")
    fuel = view["boiling"]
    if fuel["electricity"].is_known:
        text = f"Boiling the water of a serving takes about {shown_with_range(fuel['electricity'])} kWh"
        if "gas" in fuel:
            text += f", or {shown_with_range(fuel['gas'])} g of gas by your figure"
        lines.append(f"{text}.")
    print_list("Adding water", lines)


def _print_trays(trays: Any) -> None:
    from nutricost.domain.quantities.display import shown

    if trays:
        print_heading("Trays [g]")
        keys = ("wet", "dry", "water_removed")
        print_table(
            ["tray", "wet", "dry", "water removed"],
            [[str(tray["tray"]), *(shown(tray[key]) for key in keys)] for tray in trays],
        )


def _print_packing(packing: Any, money: str) -> None:
    from nutricost.domain.quantities.display import shown, shown_with_range

    if packing["bags"].is_known:
        print_heading("Packing")
        rows = [
            [
                str(bag["number"] or f"each of {shown(packing['bags'])}"),
                *(shown(bag[key]) for key in ("weight", "servings", "energy", "water_to_add", "cost")),
            ]
            for bag in packing["each_bag"]
        ]
        print_table(["bag", "dry g", "servings", "kcal", "water mL", money], rows)
    lines = [
        f"{name}: {shown_with_range(packing[key])} mL a bag."
        for key, name in (
            ("bulk_volume_per_bag", "Bulk volume"),
            ("free_volume_per_bag", "Air in it"),
            ("oxygen_per_bag", "Oxygen to absorb"),
        )
        if packing[key].is_known
    ]
    absorber = packing["absorber"]
    if absorber is not None:
        of_which = "your sizes" if absorber["sizes"] == "given" else "sizes often sold"
        lines.append(
            f"Absorber: {absorber['pieces_per_bag']} x {absorber['size_cc']:f} cc a bag, for up to "
            f"{absorber['needed'].high:.0f} cc with a margin of {absorber['margin']:f} (of {of_which})."
        )
    if packing["lot"] or packing["packed_on"]:
        lot = f"lot {packing['lot']}" if packing["lot"] else ""
        day = f"packed {packing['packed_on']}" if packing["packed_on"] else ""
        lines.append(f"Marked: {', '.join(part for part in (lot, day) if part)}.")
    if packing["best_by"] is not None:
        lines.append(f"Keeping: {packing['best_by']['text']} [{packing['best_by']['source']}]")
    else:
        lines.append("Keeping: too moist to keep.")
    for line in [*lines, *packing["warnings"]]:
        click.echo(click.wrap_text(line, WIDTH, subsequent_indent="    "))
