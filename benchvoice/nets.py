"""Opening trained nets, a denoiser's and the second recogniser's, in one way."""

from __future__ import annotations

from typing import Any


def opened(model: str | bytes) -> Any:
    """An onnxruntime session for an ONNX model, given as its path or as its bytes. onnxruntime raises plain Exception
    for one that it can't read.
    """
    import onnxruntime

    options = onnxruntime.SessionOptions()
    # The other core is left for the rest of the program, and memory stays flat whatever the lengths of the sounds.
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = options.enable_mem_pattern = False
    # Its warnings are about parts of a net that fall away.
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])
