"""What moonshine-cpp's own library hears: `python -m tests.recognise.package_hears FOLDER SOUND`.

FOLDER is where the package is installed, SOUND a WAV file. Prints the text.
"""

from __future__ import annotations

import ctypes
import sys
from pathlib import Path


def heard_by_the_package(folder: Path, path: Path) -> str:
    """With the package's weights as they are."""
    library = ctypes.CDLL(str(folder / "libonnxruntime.so.1.22.1"))
    assert library is not None
    moonshine = ctypes.CDLL(str(folder / "libmoonshine.so"))
    moonshine.moonshine_load_model.argtypes = (ctypes.c_char_p, ctypes.c_char_p, ctypes.c_char_p, ctypes.c_int32)
    moonshine.moonshine_transcribe_wav.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.POINTER(ctypes.c_char_p))
    models = folder / "models" / "base-en"
    files = [str(models / name).encode() for name in ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")]
    model = moonshine.moonshine_load_model(*files, 1)
    assert model >= 0
    out = ctypes.c_char_p()
    assert moonshine.moonshine_transcribe_wav(model, str(path).encode(), ctypes.byref(out)) == 0
    assert out.value is not None
    return out.value.decode()


if __name__ == "__main__":
    print(heard_by_the_package(Path(sys.argv[1]), Path(sys.argv[2])))
