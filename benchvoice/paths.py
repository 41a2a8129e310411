"""Where things lie on this machine. BENCHVOICE_HOME moves all of it."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs


def _private(path: Path) -> Path:
    path.mkdir(parents=True, exist_ok=True, mode=0o700)
    return path


def _base(kind: str) -> Path:
    home = os.environ.get("BENCHVOICE_HOME")
    if home:
        return Path(home).expanduser() / kind if kind != "data" else Path(home).expanduser()
    if kind == "cache":
        return Path(platformdirs.user_cache_dir("benchvoice", appauthor=False))
    if kind == "config":
        return Path(platformdirs.user_config_dir("benchvoice", appauthor=False))
    return Path(platformdirs.user_data_dir("benchvoice", appauthor=False))


def data() -> Path:
    """Journal and sound; created with mode 0700."""
    return _private(_base("data"))


def cache() -> Path:
    """What can be made again: language models."""
    return _private(_base("cache"))


def config() -> Path:
    """The person's settings and own words; not created."""
    return _base("config")


def journal() -> Path:
    """The one SQLite file."""
    return data() / "journal.db"


def sound() -> Path:
    """Recorded and imported sound, one folder a sitting."""
    return _private(data() / "sound")
