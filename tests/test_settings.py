"""Settings: where a value comes from, what is refused, and that a key stays hidden."""

from __future__ import annotations

import pickle
import traceback
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.errors import SettingError
from nutricost.settings import SETTINGS, Secret, known, load_settings, settings_file, write_setting

KEY = "invented-key-0123456789"


def test_environment_beats_file_beats_default(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("cache_max_age_days = 7\noffline = true\nprice_per_kwh = 0.17\n", encoding="utf-8")
    settings = load_settings(path, {"NUTRICOST_OFFLINE": "no"})
    effective = settings.effective()
    assert (settings["cache_max_age_days"], effective["cache_max_age_days"].origin) == (7, f"file {path}")
    assert (settings["offline"], effective["offline"].origin) == (False, "environment NUTRICOST_OFFLINE")
    assert (settings["currency"], effective["currency"].origin) == ("USD", "default")
    assert settings["price_per_kwh"] == Decimal("0.17")
    assert settings.book.name == "book.sqlite"
    assert list(effective) == list(SETTINGS)


def test_no_file_means_defaults(tmp_path: Path) -> None:
    settings = load_settings(tmp_path / "none.toml", {})
    assert all(value.origin == "default" for value in settings.effective().values())


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("ofline = true", "did you mean 'offline'"),
        ("cache_max_age_days = -1", "whole days, 0 to 36500"),
        ("cache_max_age_days = 1.5", "whole days"),
        ("offline = 'perhaps'", "true or false"),
        ("currency = 'dollar'", "ISO 4217"),
        ("price_per_kwh = nan", "a number"),
        ("data_folder = 3", "a path"),
        ("offline =", "settings.toml"),
    ],
)
def test_a_bad_file_is_refused_in_one_line(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SettingError, match=message) as caught:
        load_settings(path, {})
    assert str(path) in str(caught.value)


def test_an_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(SettingError, match="did you mean 'fdc_api_key'"):
        known("api_key")


def test_writing_keeps_comments_and_can_be_taken_back(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "settings.toml"
    write_setting("offline", "true", path)
    path.write_text("# mine\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    write_setting("fdc_api_key", KEY, path)
    assert path.read_text(encoding="utf-8").startswith("# mine\n")
    assert path.stat().st_mode & 0o077 == 0
    settings = load_settings(path, {})
    assert settings["offline"] is True
    assert settings["fdc_api_key"] == Secret(KEY)
    write_setting("offline", None, path)
    assert load_settings(path, {})["offline"] is False
    with pytest.raises(SettingError, match="whole days"):
        write_setting("cache_max_age_days", "soon", path)


def test_the_settings_file_can_be_elsewhere(tmp_path: Path) -> None:
    assert settings_file({"NUTRICOST_SETTINGS": str(tmp_path / "mine.toml")}) == tmp_path / "mine.toml"


def test_a_key_does_not_show_itself(tmp_path: Path) -> None:
    settings = load_settings(tmp_path / "none.toml", {"NUTRICOST_FDC_API_KEY": KEY})
    secret = settings["fdc_api_key"]
    assert secret.reveal() == KEY
    shown = [repr(secret), str(secret), f"{secret}", repr(settings), repr(pickle.dumps(secret))]
    try:
        load_settings(tmp_path / "none.toml", {"NUTRICOST_FDC_API_KEY": KEY + "\x00é"})
    except SettingError as error:
        shown += [str(error), "".join(traceback.format_exception(error))]
    assert len(shown) == 7
    assert not any(KEY in text for text in shown)


@pytest.mark.parametrize("setting", SETTINGS.values(), ids=lambda setting: str(setting.name))
def test_every_setting_is_explained(setting: object) -> None:
    assert getattr(setting, "help", "").endswith(".") or "ISO 4217" in getattr(setting, "help", "")
