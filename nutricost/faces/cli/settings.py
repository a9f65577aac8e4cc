"""`nutricost settings`: values of the settings and where each came from."""

from __future__ import annotations

import click

from nutricost.faces.cli.output import Group, json_option, print_json, print_table
from nutricost.settings import SETTINGS, Secret, load_settings, settings_file, write_setting


def _shown(value: object) -> str | None:
    """A value as people see it; a secret only as hidden."""
    if value is None:
        return None
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value) if isinstance(value, Secret) else str(value)


@click.group(cls=Group, invoke_without_command=True, epilog="Example: nutricost settings set offline true")
@json_option
@click.pass_context
def command(context: click.Context, as_json: bool) -> None:
    """Settings, their values and where each came from (environment, file or default)."""
    if context.invoked_subcommand is not None:
        return
    effective = load_settings().effective()
    if as_json:
        print_json(
            {
                name: {"value": _shown(found.value), "origin": found.origin}
                for name, found in effective.items()
            }
        )
        return
    rows = [[name, _shown(found.value) or "not set", found.origin] for name, found in effective.items()]
    print_table(["setting", "value", "from"], rows, left=3, wrap=(1, 2))
    click.echo(f"\nfile: {settings_file()}")
    for setting in SETTINGS.values():
        click.echo(f"  {setting.name}: {setting.help}")


@command.command(name="set", epilog="Example: nutricost settings set cache_max_age_days 7")
@click.argument("name")
@click.argument("value")
def set_(name: str, value: str) -> None:
    """Write VALUE for the setting NAME into the settings file."""
    click.echo(f"{name} is set in {write_setting(name, value)}")


@command.command(epilog="Example: nutricost settings unset offline")
@click.argument("name")
def unset(name: str) -> None:
    """Take the setting NAME out of the settings file."""
    click.echo(f"{name} is not set any more in {write_setting(name, None)}")
