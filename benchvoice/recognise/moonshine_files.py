"""The encoder-decoder model that the package moonshine-cpp carries, made ready for speed and kept in the cache.

The package's decoder turns its eight-bit weights into floating point at every step, which takes nine tenths of the
time. `make_moonshine` writes one that computes with the eight bits. The package itself is never imported: only its
model files are of use.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import making
from benchvoice.recognise.base import Progress

RECIPE = "1"
"""Changes when the same package would be made into other files."""
PACKAGE = "moonshine_cpp"
_NEEDED = ("onnx", "onnxruntime")


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFiles:
    """What a model consists of: sound to states, states to pieces of words, and how the pieces are spelled."""

    encoder: Path
    decoder: Path
    pieces: Path


def missing() -> str | None:
    """Why the model can't be used on this machine, None if it can."""
    if importlib.util.find_spec(PACKAGE) is None:
        return f"The package {PACKAGE.replace('_', '-')} is not installed (it is made for Linux on x86-64)."
    for name in _NEEDED:
        if importlib.util.find_spec(name) is None:
            return f"The package {name} is not installed."
    folder = _folder()
    for path in (folder.encoder, folder.decoder, folder.pieces):
        if not path.is_file():
            return f"The package {PACKAGE.replace('_', '-')} lacks its model file {path.name}: install it again."
    return None


def package_version() -> str:
    try:
        return version("moonshine-cpp")
    except PackageNotFoundError:
        return ""


def packaged() -> ModelFiles:
    """The files as the package brings them. Raises BenchvoiceError if they can't be used here."""
    why = missing()
    if why is not None:
        raise BenchvoiceError(why, hint="Without it, `--recogniser pocketsphinx` hears by itself.")
    return _folder()


def prepare(on_progress: Progress | None = None) -> ModelFiles:
    """The files made ready, from the cache or made (some ten seconds). Raises BenchvoiceError."""
    found = packaged()
    settings = [RECIPE, package_version(), *(version(name) for name in _NEEDED)]
    recipe = making.Recipe(
        folder="moonshine",
        key=hashlib.sha256(json.dumps(settings).encode("utf-8")).hexdigest()[:20],
        module="benchvoice.recognise.make_moonshine",
        is_complete=lambda folder: all(path.is_file() for path in _made_in(folder)),
        what="The second recogniser",
        doing="Making the second recogniser ready",
        hint="`--recogniser pocketsphinx` hears without it.",
        kept=1,
    )
    target = making.place(recipe)
    if not recipe.is_complete(target):
        making.make(recipe, on_progress or (lambda _what, _share: None))
    encoder, decoder = _made_in(target)
    return ModelFiles(encoder=encoder, decoder=decoder, pieces=found.pieces)


def _folder() -> ModelFiles:
    spec = importlib.util.find_spec(PACKAGE)
    places = spec.submodule_search_locations if spec is not None else None
    base = Path(places[0] if places else ".") / "models" / "base-en"
    return ModelFiles(
        encoder=base / "encoder_model.ort", decoder=base / "decoder_model_merged.ort", pieces=base / "tokenizer.bin"
    )


def _made_in(folder: Path) -> tuple[Path, Path]:
    """The files that `make_moonshine` writes: encoder and decoder."""
    return folder / "encoder.onnx", folder / "decoder.onnx"
