"""The encoder-decoder model that the package moonshine-cpp carries, made ready for speed and kept in the cache.

The package's decoder turns its eight-bit weights into floating point at every step, which takes nine tenths of the
time. `make_moonshine` writes one that computes with the eight bits. The package itself is never imported: only its
model files are of use.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.base import Progress

RECIPE = "1"
"""Changes when the same package would be made into other files."""
PACKAGE = "moonshine_cpp"
_NEEDED = ("onnx", "onnxruntime")
_MAKING = "Making the second recogniser ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFiles:
    """What a model consists of: sound to states, states to pieces of words, and how the pieces are spelled."""

    encoder: Path
    decoder: Path
    pieces: Path


def missing() -> str | None:
    """Why the model can't be used on this machine, None if it can."""
    for name in (PACKAGE, *_NEEDED):
        if importlib.util.find_spec(name) is None:
            return f"The package {name.replace('_', '-')} is not installed (it is made for Linux on x86-64)."
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
    key = hashlib.sha256(json.dumps(settings).encode("utf-8")).hexdigest()[:20]
    base = paths.cache() / "moonshine"
    target = base / key
    if not _made_in(target, found).decoder.is_file():
        tell = on_progress or (lambda _what, _share: None)
        tell(_MAKING, 0.0)
        try:
            base.mkdir(parents=True, exist_ok=True)
            work = Path(tempfile.mkdtemp(prefix=".making-", dir=base))
            try:
                _make(work)
                _put(work, target, found)
            finally:
                shutil.rmtree(work, ignore_errors=True)
        except OSError as error:
            raise BenchvoiceError(
                f"The second recogniser can't be written to {base}: {error.strerror or error}.",
                hint="Free some space there, or set BENCHVOICE_HOME to another folder.",
            ) from error
        tell(_MAKING, 1.0)
        for other in base.iterdir():
            if other != target and not other.name.startswith("."):
                shutil.rmtree(other, ignore_errors=True)
    return _made_in(target, found)


def _folder() -> ModelFiles:
    spec = importlib.util.find_spec(PACKAGE)
    places = spec.submodule_search_locations if spec is not None else None
    base = Path(places[0] if places else ".") / "models" / "base-en"
    return ModelFiles(
        encoder=base / "encoder_model.ort", decoder=base / "decoder_model_merged.ort", pieces=base / "tokenizer.bin"
    )


def _made_in(target: Path, found: ModelFiles) -> ModelFiles:
    return ModelFiles(encoder=target / "encoder.onnx", decoder=target / "decoder.onnx", pieces=found.pieces)


def _make(work: Path) -> None:
    """In a process of its own: it takes more memory than hearing ever does."""
    command = [sys.executable, "-m", "benchvoice.recognise.make_moonshine", str(work)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        lines = done.stderr.strip().splitlines()
        why = lines[-1] if lines else f"status {done.returncode}"
        raise BenchvoiceError(
            f"The second recogniser can't be made ready: {why}",
            hint="`--recogniser pocketsphinx` hears without it.",
        )


def _put(work: Path, target: Path, found: ModelFiles) -> None:
    """The finished folder in its place; if another program was quicker, its files are as good."""
    try:
        work.rename(target)
    except OSError:
        if not _made_in(target, found).decoder.is_file():
            shutil.rmtree(target, ignore_errors=True)
            work.rename(target)
