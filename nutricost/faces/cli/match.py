"""`nutricost match`: ingredient lines to foods and grams."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import click

from nutricost.faces.cli.output import json_option, note, print_json, print_table


@click.command(epilog="Example: printf '2 lb boneless chicken breast\\n1 cup rice\\n' | nutricost match -")
@click.argument("file", metavar="FILE", required=False, default="-")
@click.option(
    "--source", "sources", multiple=True, metavar="S", help="sr28, survey, foundation, branded, live."
)
@click.option("--confirm", is_flag=True, help="Ask about each unsure line and remember your choice.")
@click.option("--choose", multiple=True, metavar="LINE=KEY", help="Remember a choice: 'rice=ndb:20044'.")
@click.option("--remembered", is_flag=True, help="List the remembered choices and stop.")
@click.option("--forget", multiple=True, metavar="PHRASE", help="Remove a remembered choice and stop.")
@click.option("--why", is_flag=True, help="Say why each food won.")
@click.option("--offline", is_flag=True, help="Source live: only answers stored earlier.")
@click.option("--refresh", is_flag=True, help="Source live: ask anew what is stored.")
@json_option
def command(
    file: str,
    sources: tuple[str, ...],
    confirm: bool,
    choose: tuple[str, ...],
    remembered: bool,
    forget: tuple[str, ...],
    why: bool,
    offline: bool,
    refresh: bool,
    as_json: bool,
) -> None:
    """Match the ingredient lines of FILE to foods and grams.

    FILE holds one ingredient a line ('-' is standard input), or is a batch (.toml): then the lines that draw
    on no label are matched.
    """
    from nutricost.api import choices
    from nutricost.api.foods import lines_of, match_lines
    from nutricost.api.views import match_view

    if forget:
        for phrase in forget:
            choices.forget(phrase)
            note(f"forgotten: {phrase}")
        return
    if remembered:
        _print_remembered(choices.remembered(), as_json)
        return
    for pair in choose:
        phrase, key = choices.choose(pair, _today())
        note(f"remembered: {phrase} -> {key}")
    if choose and file == "-" and sys.stdin.isatty():
        return
    notices: list[str] = []
    matches = match_lines(
        lines_of(file), sources, choices.remembered(), offline=offline, refresh=refresh, notices=notices
    )
    for notice in notices:
        note(notice)
    if confirm:
        matches = [_confirmed(match) for match in matches]
    if as_json:
        print_json([match_view(match) for match in matches])
        return
    _print_matches(matches, why)


def _print_matches(matches: list[Any], why: bool) -> None:
    from nutricost.api.lines import grams_figure
    from nutricost.domain.quantities.display import shown_with_range

    rows = []
    for match in matches:
        food = match.food
        rows.append(
            [
                match.text,
                food.description if food else "no food found",
                food.key if food else "",
                shown_with_range(grams_figure(match, "")),
                match.status,
            ]
        )
    print_table(["line", "food", "key", "g", "status"], rows, left=3, wrap=(0, 1))
    for match in matches:
        if match.status == "unsure" and match.candidates:
            click.echo(f"\n'{match.text}' could also be (kcal per 100 g):")
            for candidate in match.candidates:
                energy = candidate.food.per_100g("energy")
                click.echo(f"  {candidate.food.key:<12} {_kcal(energy):>9}  "
                           f"{candidate.food.description}")  # fmt: skip
        if match.grams.needs:
            click.echo(f"\n'{match.text}': grams not known: {match.grams.needs}")
        if why and match.candidates:
            click.echo(f"\n'{match.text}': {'; '.join(match.candidates[0].reasons)}")


def _kcal(energy: Decimal | None) -> str:
    return f"{energy:.0f}" if energy is not None else "not known"


def _today() -> date:
    return datetime.now().astimezone().date()


def _print_remembered(choices: Mapping[str, str], as_json: bool) -> None:
    if as_json:
        print_json(choices)
    elif choices:
        print_table(["phrase", "food"], [[phrase, key] for phrase, key in choices.items()], left=2)
    else:
        note("no choices are remembered yet; nutricost match --confirm FILE keeps them")


def _confirmed(match: Any) -> Any:
    """Asks which food an unsure line means, and remembers the answer."""
    from nutricost.api import choices

    if match.status == "matched" or not match.candidates:
        return match
    click.echo(f"\n{match.text}", err=True)
    for i, candidate in enumerate(match.candidates, start=1):
        energy = candidate.food.per_100g("energy")
        click.echo(f"  {i}  {candidate.food.description} ({_kcal(energy)} kcal per 100 g)", err=True)
    answer = click.prompt(
        "Which? a number, a key such as ndb:11178, or Enter to leave it",
        default="",
        show_default=False,
        err=True,
    )
    if not answer:
        return match
    if answer.isdecimal() and 1 <= int(answer) <= len(match.candidates):
        key = match.candidates[int(answer) - 1].food.key
    else:
        key = answer
    choices.choose(f"{match.text}={key}", _today())
    from nutricost.api.foods import match_lines

    return match_lines([match.text], (), choices.remembered())[0]
