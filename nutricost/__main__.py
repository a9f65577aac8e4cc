"""Starts the command line."""

from __future__ import annotations

from nutricost.faces.cli import run


def main() -> None:
    """The `nutricost` command."""
    run()


if __name__ == "__main__":
    main()
