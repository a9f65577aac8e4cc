"""Settings: each with its value and where that comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request

from nutricost.api.kitchen import Kitchen
from nutricost.errors import SettingError
from nutricost.faces.web.rendering import Page
from nutricost.settings import SETTINGS, Secret, load_settings, write_setting

FROM_PAGE = ("currency", "price_per_kwh", "offline", "cache_max_age_days", "fdc_api_key")
"""What a page may change; files and folders are set where the program is started."""


def listing(kitchen: Kitchen, request: Request) -> Page:
    """Every setting."""
    return _page(kitchen)


def _page(
    kitchen: Kitchen, form: Mapping[str, str] | None = None, problem: tuple[str, str] | None = None
) -> Page:
    effective = load_settings().effective()
    view = [
        {
            "name": name,
            "help": setting.help,
            "value": _text(effective[name].value),
            "origin": effective[name].origin,
            "editable": name in FROM_PAGE and not effective[name].origin.startswith("environment"),
            "secret": isinstance(setting.default, Secret),
        }
        for name, setting in SETTINGS.items()
    ]
    problems = {problem[0]: [problem[1]]} if problem else {}
    data = {"settings": view, "book": str(kitchen.path), "problems": problems}
    return Page("settings.html", "Settings", data, {"form": dict(form or {})}, 422 if problem else 200)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)


def save(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Keeps one setting; an empty text takes it back to its default."""
    name, text = str(form.get("name", "")), str(form.get("value", "")).strip()
    if name not in FROM_PAGE:
        return _page(kitchen, problem=("", f"{name!r} is not set from the page"))
    try:
        write_setting(name, text or None)
    except SettingError as error:
        shown = "" if name == "fdc_api_key" else text
        return _page(kitchen, {"name": name, "value": shown}, (name, str(error)))
    return "/settings"
