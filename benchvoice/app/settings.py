"""The person's settings: one small TOML file in the configuration folder. Comments in it survive our writing."""

from __future__ import annotations

import difflib
import os
import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import BenchvoiceError


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a person sets once."""

    shop: str = ""
    """The name that filed revisions and reports carry."""
    currency: str = ""
    """Three letters, for costs and prices."""
    microphone: str = ""
    """Part of the device's name."""


def path() -> Path:
    return paths.config() / "settings.toml"


def load() -> Settings:
    """The settings; all at their defaults if there is no file. BenchvoiceError names what is wrong in it."""
    where = path()
    try:
        data = tomllib.loads(where.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BenchvoiceError(f"The settings {where} can't be read: {error}.", hint="Correct the file.") from error
    known = [field.name for field in fields(Settings)]
    for key, value in data.items():
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            hint = f"Did you mean {near[0]}?" if near else f"It may hold {', '.join(known)}."
            raise BenchvoiceError(f"The settings {where} hold an unknown key, {key}.", hint=hint)
        if not isinstance(value, str):
            raise BenchvoiceError(f"In the settings {where}, {key} must be text.", hint=f'Write {key} = "..."')
    return Settings(**data)


def save(**changes: str) -> Settings:
    """Write some settings and keep the rest of the file as it is."""
    import tomlkit

    load()
    where = path()
    try:
        where.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        document = tomlkit.parse(where.read_text(encoding="utf-8")) if where.exists() else tomlkit.document()
        for key, value in changes.items():
            document[key] = value
        partial = where.with_name(where.name + ".partial")
        partial.write_text(tomlkit.dumps(document), encoding="utf-8")
        partial.chmod(0o600)
        with partial.open("rb") as file:
            os.fsync(file.fileno())
        partial.replace(where)
    except OSError as error:
        raise BenchvoiceError(f"The settings {where} can't be written: {error.strerror or error}.") from error
    return load()
