"""The command palette's entries, from the same bindings as the footer and the help."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from textual.app import App, SystemCommand
from textual.screen import Screen


def commands_of(app: App[Any], page: Screen[Any]) -> Iterator[SystemCommand]:
    """One entry for each named binding that works on a page now; its help names the key."""
    for active in page.active_bindings.values():
        binding = active.binding
        if binding.description and not binding.system and binding.id:
            action = binding.action if active.node is app else f"screen.{binding.action}"
            title = (binding.tooltip or binding.description).capitalize()
            yield SystemCommand(title, f"key {binding.key_display or binding.key}", _runner(app, action))


def _runner(app: App[Any], action: str) -> Callable[[], None]:
    def run() -> None:
        app.call_later(app.run_action, action)

    return run
