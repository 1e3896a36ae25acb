"""The weights inside a model file of onnxruntime's own format (.ort), by where they are used.

The file is a flatbuffer; onnxruntime brings the classes that read it.  Names of
weights were changed when the file was made, names of operations were not, so weights
are found by the operation that they belong to.
"""

from __future__ import annotations

import struct
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy.typing as npt

# Codes of TensorProto.DataType in the ONNX standard.
_TYPES = {1: np.float32, 2: np.uint8, 3: np.int8, 6: np.int32, 7: np.int64, 9: np.bool_}
_PRODUCTS = {"DynamicQuantizeMatMul": (1, 2, 3, 4), "MatMulIntegerToFloat": (1, 3, 5, None)}


# What reading a flatbuffer that is none, or another model's, ends in.
_OTHER_FORM = (
    StopIteration,
    KeyError,
    AttributeError,
    ValueError,
    IndexError,
    TypeError,
    struct.error,
)


class WeightsError(ValueError):
    """The file is no model that this program knows."""


@dataclass(frozen=True, slots=True)
class Product:
    """A matrix of 8-bit weights: what stands for w is (w - zero_point) * scale.

    Attributes:
        matrix: uint8, shape (in, out).
        scale: of one step.
        zero_point: what stands for 0.
        bias: float32, shape (out,); None for none.
    """

    matrix: npt.NDArray[np.uint8]
    scale: float
    zero_point: int
    bias: npt.NDArray[np.float32] | None = None


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of a model.

    Attributes:
        products: matrices by the name of their operation.
        norms: float32 weights of layer normalizations, likewise.
        plain: every weight by its own name.
    """

    products: dict[str, Product] = field(default_factory=dict)
    norms: dict[str, npt.NDArray[np.float32]] = field(default_factory=dict)
    plain: dict[str, npt.NDArray[Any]] = field(default_factory=dict)


def read(content: bytes, branch: bytes = b"then_branch") -> Weights:
    """The weights of a model, those of one branch of its "If" included.

    Args:
        content: of the .ort file.
        branch: which of the two; in a merged decoder the first goes on from a cache.

    Raises:
        WeightsError: it is no such file.
    """
    try:
        whole = _graph(content)
        inner = next(
            attribute.G()
            for node in _nodes(whole)
            for attribute in map(node.Attributes, range(node.AttributesLength()))
            if attribute.Name() == branch
        )
        found = Weights()
        for graph in (whole, inner):
            found.plain.update(_initializers(graph))
        for node in _nodes(inner):
            _sort(node, found)
    except _OTHER_FORM as error:
        raise WeightsError(f"the decoder's file has another form: {error!r}") from error
    return found


def _graph(content: bytes) -> Any:  # noqa: ANN401 - the generated classes have no types
    from onnxruntime.tools.ort_format_model.ort_flatbuffers_py import fbs  # noqa: PLC0415 - heavy

    # Its classes import each other as if their folder stood at the top.
    folder = str(Path(fbs.__file__).parents[1])
    sys.path.insert(0, folder)
    try:
        from onnxruntime.tools.ort_format_model.ort_flatbuffers_py.fbs import (  # noqa: PLC0415
            InferenceSession,
        )

        session = InferenceSession.InferenceSession.GetRootAsInferenceSession(bytearray(content), 0)
        return session.Model().Graph()
    finally:
        sys.path.remove(folder)


def _nodes(graph: Any) -> Iterator[Any]:  # noqa: ANN401 - likewise
    return map(graph.Nodes, range(graph.NodesLength()))


def _initializers(graph: Any) -> Iterator[tuple[str, npt.NDArray[Any]]]:  # noqa: ANN401
    for tensor in map(graph.Initializers, range(graph.InitializersLength())):
        shape = [tensor.Dims(place) for place in range(tensor.DimsLength())]
        raw = tensor.RawDataAsNumpy().tobytes()
        yield tensor.Name().decode(), np.frombuffer(raw, _TYPES[tensor.DataType()]).reshape(shape)


def _sort(node: Any, into: Weights) -> None:  # noqa: ANN401
    kind, name = node.OpType().decode(), node.Name().decode()
    inputs = [node.Inputs(place).decode() for place in range(node.InputsLength())]
    if kind == "LayerNormalization":
        into.norms[name] = into.plain[inputs[1]]
    elif kind in _PRODUCTS:
        matrix, scale, zero, bias = _PRODUCTS[kind]
        into.products[name] = Product(
            into.plain[inputs[matrix]],
            float(into.plain[inputs[scale]]),
            int(into.plain[inputs[zero]]),
            into.plain[inputs[bias]] if bias is not None and inputs[bias] else None,
        )
