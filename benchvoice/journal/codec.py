"""Events as JSON text and back, exactly.

The shapes are the frozen dataclasses of the domain; pydantic checks every field on the way in, since a file on disk is
not to be trusted. Fields at their default are left out, so that a field with a default can be added later without a
migration. Decimals are written as text and keep their digits. Numbers that JSON lacks (NaN, infinities) are refused.
"""

from __future__ import annotations

from functools import cache
from typing import Any, get_args

from pydantic import ConfigDict, TypeAdapter, ValidationError
from pydantic_core import PydanticSerializationError

from benchvoice.domain.events import Body
from benchvoice.errors import JournalError

BODIES: dict[str, type[Body]] = {body.name: body for body in get_args(Body)}
"""Every kind of event by the name it is stored under."""

_CONFIG = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


@cache
def _adapter(kind: str) -> TypeAdapter[Any]:
    # pydantic takes a configuration for a union, not for a dataclass of the standard library, which inherits it.
    shape: Any = BODIES[kind] | None
    return TypeAdapter(shape, config=_CONFIG)


def encode(body: Body) -> str:
    """An event's body as JSON text. JournalError if it holds what can't be stored."""
    try:
        text = _adapter(body.name).dump_json(body, exclude_defaults=True, warnings=False).decode()
        again = _adapter(body.name).validate_json(text)
    except (ValidationError, PydanticSerializationError, UnicodeError) as error:
        raise JournalError(f"An event ({body.name}) can't be stored: {_first(error)}.") from error
    if again != body:
        raise JournalError(f"An event ({body.name}) can't be stored: it would not come back equal.")
    return text


def decode(kind: str, text: str) -> Body:
    """The body from its kind and JSON text. JournalError names what is wrong with it."""
    if kind not in BODIES:
        raise JournalError(
            f"The journal holds an event of an unknown kind ({kind}).", hint="Install the newest benchvoice."
        )
    try:
        decoded: Body | None = _adapter(kind).validate_json(text)
    except ValidationError as error:
        raise JournalError(f"An event ({kind}) in the journal can't be read: {_first(error)}.") from error
    if decoded is None:
        raise JournalError(f"An event ({kind}) in the journal is empty.")
    return decoded


def _first(error: Exception) -> str:
    if isinstance(error, ValidationError):
        item = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in item["loc"])
        message = str(item["msg"]).rstrip(".")
        return f"{where}: {message}" if where else message
    return str(error).rstrip(".")
