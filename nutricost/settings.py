"""The settings of the program: one table, a file in the user's configuration folder, the environment.

A setting is taken from the environment (`NUTRICOST_` and the name in capitals), else from the file, else
it has its default. An unknown name in the file is refused with the nearest known one.
"""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

import platformdirs

from nutricost.errors import SettingError

PREFIX = "NUTRICOST_"
FILE_VARIABLE = "NUTRICOST_SETTINGS"
"""Environment variable that names another settings file."""


class Secret:
    """A text that does not show itself in messages, logs or tracebacks; `reveal` gives it."""

    __slots__ = ("_text",)

    def __init__(self, text: str) -> None:
        self._text = text

    def reveal(self) -> str:
        """The text itself."""
        return self._text

    def __bool__(self) -> bool:
        return bool(self._text)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Secret) and other._text == self._text

    def __hash__(self) -> int:
        return hash(self._text)

    def __repr__(self) -> str:
        return "(hidden)" if self._text else "(none)"

    def __reduce__(self) -> tuple[type[Secret], tuple[str]]:
        return (Secret, ("",))  # a copy sent elsewhere, as in a pickle, holds nothing


def _as_secret(value: object) -> Secret:
    if isinstance(value, str) and re.fullmatch(r"[A-Za-z0-9_-]{0,100}", value.strip()):
        return Secret(value.strip())
    raise ValueError("letters, digits, '-' and '_', at most 100")


def _as_folder(value: object) -> Path:
    if isinstance(value, str) and value.strip() and "\0" not in value:
        return Path(value.strip()).expanduser()
    raise ValueError("a path")


def _as_days(value: object) -> int:
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,5}", value.strip()):
        value = int(value)
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 36500:
        return value
    raise ValueError("whole days, 0 to 36500")


def _as_flag(value: object) -> bool:
    if isinstance(value, bool):
        return value
    word = value.strip().lower() if isinstance(value, str) else ""
    if word in ("1", "true", "yes", "on"):
        return True
    if word in ("0", "false", "no", "off"):
        return False
    raise ValueError("true or false")


def _as_currency(value: object) -> str:
    if isinstance(value, str) and re.fullmatch(r"[A-Za-z]{3}", value.strip()):
        return value.strip().upper()
    raise ValueError("a currency code of three letters (ISO 4217), such as USD")


def _as_price(value: object) -> Decimal:
    try:
        if isinstance(value, str | int | Decimal) and not isinstance(value, bool):
            price = Decimal(value)
            if price.is_finite() and price >= 0:
                return price
    except InvalidOperation:
        pass
    raise ValueError("a number, 0 or more, such as 0.17")


@dataclass(frozen=True, slots=True)
class Setting:
    """One row of the table: name, what it means, its default, and how its value is read."""

    name: str
    help: str
    default: Any
    read: Callable[[object], Any]

    @property
    def variable(self) -> str:
        """Name of the environment variable."""
        return PREFIX + self.name.upper()


SETTINGS: Mapping[str, Setting] = {
    setting.name: setting
    for setting in (
        Setting(
            "fdc_api_key",
            "Key of the FoodData Central web service; without one its DEMO_KEY (30 an hour) is used.",
            Secret(""),
            _as_secret,
        ),
        Setting("offline", "Never ask the web service; answer from what is stored.", False, _as_flag),
        Setting("cache_max_age_days", "Days after which a stored answer is asked for anew.", 30, _as_days),
        Setting(
            "cache_folder",
            "Folder of stored web answers.",
            platformdirs.user_cache_path("nutricost", appauthor=False),
            _as_folder,
        ),
        Setting(
            "data_folder",
            "Folder of imported food tables and of the book.",
            platformdirs.user_data_path("nutricost", appauthor=False),
            _as_folder,
        ),
        Setting("book", "File of the kitchen book; left out: book.sqlite in data_folder.", None, _as_folder),
        Setting(
            "currency", "Currency of the book and of a new batch on the page (ISO 4217).", "USD", _as_currency
        ),
        Setting(
            "price_per_kwh", "Price of electricity that a new batch on the page starts with.", None, _as_price
        ),
    )
}
"""All settings by name."""


@dataclass(frozen=True, slots=True)
class Effective:
    """A setting's value and where it came from: "default", "environment NAME" or "file PATH"."""

    value: Any
    origin: str


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings with the value that counts."""

    values: Mapping[str, Effective]

    def __getitem__(self, name: str) -> Any:
        return self.values[known(name).name].value

    def effective(self) -> Mapping[str, Effective]:
        """Value and origin of every setting, in the order of the table."""
        return self.values

    @property
    def book(self) -> Path:
        """Path of the kitchen book."""
        book: Path | None = self["book"]
        return book if book is not None else Path(self["data_folder"]) / "book.sqlite"


def settings_file(environ: Mapping[str, str] | None = None) -> Path:
    """Path of the settings file; it need not exist."""
    given = (os.environ if environ is None else environ).get(FILE_VARIABLE, "").strip()
    if given:
        return Path(given).expanduser()
    return platformdirs.user_config_path("nutricost", appauthor=False) / "settings.toml"


def known(name: str) -> Setting:
    """The setting of this name; SettingError with the nearest name for another."""
    setting = SETTINGS.get(name)
    if setting is None:
        near = difflib.get_close_matches(name, SETTINGS, n=1, cutoff=0.0)
        raise SettingError(
            f"no setting {name!r}; did you mean {near[0]!r}? (accepted: {', '.join(SETTINGS)})"
        )
    return setting


def load_settings(path: Path | None = None, environ: Mapping[str, str] | None = None) -> Settings:
    """The settings in force. Raises SettingError for an unreadable file, an unknown name or a bad value."""
    environ = os.environ if environ is None else environ
    path = path or settings_file(environ)
    written = _read(path)
    values: dict[str, Effective] = {}
    for name in written:
        try:
            known(name)
        except SettingError as error:
            raise SettingError(f"{path}: {error}") from None
    for name, setting in SETTINGS.items():
        if environ.get(setting.variable, "").strip():
            origin = f"environment {setting.variable}"
            values[name] = Effective(_value(setting, environ[setting.variable], origin), origin)
        elif name in written:
            values[name] = Effective(_value(setting, written[name], f"{path}: {name}"), f"file {path}")
        else:
            values[name] = Effective(setting.default, "default")
    return Settings(values)


def write_setting(name: str, text: str | None, path: Path | None = None) -> Path:
    """Path of the settings file, after `name` was set to `text` in it, or taken out of it (None).

    Comments stay. The file is readable by its owner alone, since it may hold a key.
    """
    # Imported here: only a change of the file needs it, and every command reads settings.
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    setting = known(name)
    path = path or settings_file()
    _read(path)
    if text is not None:
        _value(setting, text, name)
    try:
        document = tomlkit.parse(path.read_text(encoding="utf-8")) if path.exists() else tomlkit.document()
        document.pop(name, None) if text is None else document.update({name: text})
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary = path.with_name(path.name + ".new")
        with os.fdopen(
            os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8"
        ) as file:
            file.write(tomlkit.dumps(document))
        temporary.replace(path)
    except (OSError, TOMLKitError) as error:
        raise SettingError(f"the settings file {path} can't be written ({error})") from None
    return path


def _read(path: Path) -> dict[str, Any]:
    try:
        text = path.read_text(encoding="utf-8")
    except (FileNotFoundError, NotADirectoryError):  # the latter: no home, as in HOME=/dev/null
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise SettingError(f"the settings file {path} can't be read ({error})") from None
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise SettingError(f"{path}: {error}") from None


def _value(setting: Setting, raw: object, where: str) -> Any:
    try:
        return setting.read(raw)
    except ValueError as error:
        shown = "the given text" if isinstance(setting.default, Secret) else repr(raw)
        raise SettingError(f"{where}: {shown} is no value for {setting.name} (accepted: {error})") from None
