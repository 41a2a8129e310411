"""The line of keys at the bottom: as many as fit, the ones that are pressed most first."""

from __future__ import annotations

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class Keys(Footer):
    """A footer that leaves out the keys that would not fit whole; help names all of them."""

    def __init__(self) -> None:
        super().__init__(compact=True, show_command_palette=False)

    def compose(self) -> ComposeResult:
        left = self.app.size.width
        for key in super().compose():
            if isinstance(key, FooterKey):
                left -= cell_len(key.key_display) + 1 + cell_len(key.description)
                if left < 0:
                    return
                left -= 1
            yield key

    async def on_resize(self, event: events.Resize) -> None:
        await self.recompose()
