"""`nutricost book labels` and `settings`: labels kept to paste into batches, what the book settles."""

from __future__ import annotations

from pathlib import Path

import click

from nutricost.faces.cli.book_options import book_path
from nutricost.faces.cli.output import Group, json_option, note, print_json, print_table


@click.group(cls=Group, epilog="Example: nutricost book labels save beans.toml")
def labels() -> None:
    """Labels kept in the book, each to paste into a batch."""


@labels.command("list", epilog="Example: nutricost book labels list beans")
@click.argument("words", nargs=-1)
@json_option
def list_command(words: tuple[str, ...], as_json: bool) -> None:
    """List the labels whose text holds all WORDS."""
    from nutricost.api.book import view
    from nutricost.api.book_labels import list_labels

    found = list_labels(book_path(), " ".join(words))
    if as_json:
        print_json([view(one) for one in found])
    else:
        print_table(["label", "saved"], [[one.name, str(one.revision)] for one in found])


@labels.command("show", epilog="Example: nutricost book labels show 'invented beans' >> chili.toml")
@click.argument("name")
@json_option
def show_command(name: str, as_json: bool) -> None:
    """Print the label NAME, word for word."""
    from nutricost.api.book_labels import label_text

    text = label_text(book_path(), name)
    if as_json:
        print_json({"name": name, "text": text})
    else:
        click.echo(text, nl=False)


@labels.command("save", epilog="Example: nutricost book labels save beans.toml")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
def save_command(file: Path, as_json: bool) -> None:
    """Keep the label in FILE: one [labels."NAME"] as in a batch, in place of what NAME held."""
    from nutricost.api.book import view
    from nutricost.api.book_labels import save_label_file

    stored, warnings = save_label_file(book_path(), file)
    if as_json:
        print_json({**view(stored), "warnings": warnings})
        return
    for warning in warnings:
        note(f"warning: {warning}")
    click.echo(f"saved: {stored.name}")


@click.group(
    cls=Group, invoke_without_command=True, epilog="Example: nutricost book settings set currency EUR"
)
@json_option
@click.pass_context
def settings(context: click.Context, as_json: bool) -> None:
    """What this book settles for itself: the currency of amounts typed without one."""
    if context.invoked_subcommand is not None:
        return
    from nutricost.api.book import settings_in

    found = settings_in(book_path())
    if as_json:
        print_json(found)
    else:
        print_table(["setting", "value"], list(found.items()), left=2)


@settings.command("set", epilog="Example: nutricost book settings set currency EUR")
@click.argument("name")
@click.argument("value")
@json_option
def set_command(name: str, value: str, as_json: bool) -> None:
    """Keep VALUE for the setting NAME in the book."""
    _set(name, value, as_json)


@settings.command("unset", epilog="Example: nutricost book settings unset currency")
@click.argument("name")
@json_option
def unset_command(name: str, as_json: bool) -> None:
    """Take the setting NAME out of the book."""
    _set(name, None, as_json)


def _set(name: str, value: str | None, as_json: bool) -> None:
    from nutricost.api.book import set_in_book

    kept = set_in_book(book_path(), name, value)
    if as_json:
        print_json(kept)
    else:
        click.echo(f"{name} is {'not set any more' if value is None else 'set'} in the book")
