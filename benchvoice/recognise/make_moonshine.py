"""Writes the model of moonshine-cpp so that it computes in eight bits: `python -m benchvoice.recognise.make_moonshine
FOLDER`. Run by `moonshine_files.prepare`.

The package's files are of onnxruntime's own form, which is loaded as it is, without folding what is constant. So each
is saved as ONNX (the runtime leaves out the names of inner graphs, which its own reader asks for), folded, and
quantised anew: weights once, what flows through them as it comes (Jacob et al., "Quantization and training of neural
networks for efficient integer-arithmetic-only inference", 2018, section 2).
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.moonshine_files import packaged


def eight_bit(source: Path, target: Path) -> None:
    """`target` becomes the model in `source`, an ORT file, with integer arithmetic in its matrix products."""
    from onnxruntime.quantization import QuantType, quantize_dynamic

    opened, folded = target.with_suffix(".opened"), target.with_suffix(".folded")
    _saved(source, opened, folds=False)
    _saved(opened, folded, folds=True)
    opened.unlink()
    quantize_dynamic(
        folded,
        target,
        weight_type=QuantType.QInt8,
        op_types_to_quantize=["MatMul", "Gather"],
        extra_options={"EnableSubgraph": True},
    )
    folded.unlink()


def _saved(source: Path, target: Path, *, folds: bool) -> None:
    """The model as ONNX, as the runtime sees it after its optimisations that fit every machine."""
    import onnx
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    level = onnxruntime.GraphOptimizationLevel
    options.graph_optimization_level = level.ORT_ENABLE_BASIC if folds else level.ORT_DISABLE_ALL
    options.optimized_model_filepath = str(target)
    options.add_session_config_entry("session.save_model_format", "ONNX")
    onnxruntime.InferenceSession(str(source), options, providers=["CPUExecutionProvider"])
    model = onnx.load(str(target))
    for node in model.graph.node:
        for attribute in node.attribute:
            if attribute.HasField("g"):
                attribute.g.name = attribute.name
    onnx.save(model, str(target))


def main(arguments: Sequence[str]) -> int:
    """Exit status 0, or 1 with one line on standard error."""
    folder = Path(arguments[0])
    try:
        found = packaged()
        eight_bit(found.encoder, folder / "encoder.onnx")
        print(0.3, flush=True)
        eight_bit(found.decoder, folder / "decoder.onnx")
        print(1.0, flush=True)
    except (BenchvoiceError, OSError, MemoryError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
