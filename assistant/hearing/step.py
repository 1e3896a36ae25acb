"""One step of the decoder as a network of its own, made from the shipped model's weights.

The shipped network works out much anew at each step that does not change within an
utterance (it pads and copies what the sound says for every row), and spends most of
its 900 operations on shapes.  This one has the same 8-bit products in the same order;
what the sound says is shared by all rows, and which row goes on from which is picked
inside.  Sums are added in another order, so values differ in the sixth digit, and now
and then an 8-bit step falls the other way.

Layer by layer, with the layer's input normalized before each part and added after:
attention to the tokens so far (rotary positions on 32 of 36 values of a head, in
pairs of neighbours), attention to the sound, and a gated unit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from onnx import TensorProto, helper, numpy_helper

if TYPE_CHECKING:
    import numpy.typing as npt

    from assistant.hearing.weights import Product, Weights

LAYERS, HEADS, WIDTH = 6, 8, 36
_STATES = HEADS * WIDTH
_TURNED = 32  # values of a head that carry the position
_PLACES = 400  # positions; texts are far shorter
_BASE = 10_000.0
_EPSILON = 1e-5
_OPSET, _IR = 18, 8
_MODEL = "/model/decoder/"
_WORDS = "model.decoder.embed_tokens.weight_merged_0"
_QUANTIZED = "com.microsoft"


def model(weights: Weights) -> bytes:
    """The network, as an ONNX file's content.

    Inputs: ``ids`` and ``parents`` (rows,), ``place`` (), and for each layer n the
    cache ``key.n`` (rows before, heads, width, tokens) and ``value.n`` (rows before,
    heads, tokens, width), the sound ``sound_key.n`` (heads, width, frames) and
    ``sound_value.n`` (heads, frames, width).  Outputs: ``logits`` (rows, vocabulary),
    ``next_key.n`` and ``next_value.n``.

    Raises:
        KeyError: the weights are of another model.
    """
    draft = _Draft(weights)
    state = draft.begin()
    for layer in range(LAYERS):
        state = draft.layer(layer, state)
    draft.end(state)
    return draft.content()


class _Draft:
    """The network as far as it is written."""

    def __init__(self, weights: Weights) -> None:
        self._weights = weights
        self._nodes: list[Any] = []
        self._constants: list[Any] = []
        self._count = 0

    def _name(self) -> str:
        self._count += 1
        return f"v{self._count}"

    def _constant(self, value: npt.ArrayLike, kind: type | None = None) -> str:
        name = self._name()
        array = np.ascontiguousarray(np.asarray(value, kind))
        self._constants.append(numpy_helper.from_array(array.reshape(np.shape(value)), name))
        return name

    def _do(self, kind: str, *inputs: str, domain: str = "", **settings: Any) -> str:  # noqa: ANN401
        return self._into(self._name(), kind, *inputs, domain=domain, **settings)

    def _into(
        self,
        name: str,
        kind: str,
        *inputs: str,
        domain: str = "",
        **settings: Any,  # noqa: ANN401 - what the operation takes
    ) -> str:
        self._nodes.append(helper.make_node(kind, inputs, [name], domain=domain, **settings))
        return name

    def _split(self, what: str, parts: int) -> list[str]:
        names = [self._name() for _ in range(parts)]
        split = helper.make_node("Split", [what], names, axis=-1, num_outputs=parts)
        self._nodes.append(split)
        return names

    def _times(self, what: str, *products: Product) -> str:
        """A product with 8-bit weights; several side by side, each with its own step."""
        wide = [product.matrix.shape[1] for product in products]
        inputs = [
            what,
            self._constant(np.concatenate([product.matrix for product in products], axis=1)),
            self._constant(np.repeat([product.scale for product in products], wide), np.float32),
            self._constant(np.repeat([product.zero_point for product in products], wide), np.uint8),
        ]
        if products[0].bias is not None:
            inputs.append(self._constant(products[0].bias))
        return self._do("DynamicQuantizeMatMul", *inputs, domain=_QUANTIZED)

    def _product(self, name: str) -> Product:
        return self._weights.products[f"{_MODEL}{name}/MatMul_quant"]

    def _normed(self, what: str, name: str) -> str:
        norm = self._constant(self._weights.norms[f"{_MODEL}{name}/LayerNormalization"])
        return self._do("LayerNormalization", what, norm, axis=-1, epsilon=_EPSILON)

    def begin(self) -> str:
        """The tokens' states, and what all layers share."""
        plain = self._weights.plain
        ids = self._do("Gather", self._constant(plain[f"{_WORDS}_quantized"]), "ids")
        steps = [self._constant(plain[f"{_WORDS}_{part}"]) for part in ("scale", "zero_point")]
        self._heads = self._constant(np.array([-1, HEADS, WIDTH]))
        self._flat = self._constant(np.array([-1, _STATES]))
        self._root = self._constant(np.float32(WIDTH**-0.5))
        angles = np.outer(np.arange(_PLACES), _BASE ** -(np.arange(0, _TURNED, 2) / _TURNED))
        still = ((0, 0), (0, WIDTH - _TURNED))
        cosines = np.pad(np.repeat(np.cos(angles), 2, axis=1), still, constant_values=1.0)
        sines = np.pad(np.repeat(np.sin(angles), 2, axis=1), still)
        self._cosine = self._do("Gather", self._constant(cosines, np.float32), "place")
        self._sine = self._do("Gather", self._constant(sines, np.float32), "place")
        # (a, b) turned by a right angle is (-b, a).
        turn = np.zeros((WIDTH, WIDTH), np.float32)
        for place in range(0, _TURNED, 2):
            turn[place + 1, place], turn[place, place + 1] = -1.0, 1.0
        self._turn = self._constant(turn)
        return self._do("DequantizeLinear", ids, *steps)

    def _turned(self, what: str) -> str:
        """With the position in it."""
        across = self._do("Mul", self._do("MatMul", what, self._turn), self._sine)
        return self._do("Add", self._do("Mul", what, self._cosine), across)

    def _attended(self, query: str, key: str, value: str) -> str:
        scores = self._do("Mul", self._do("MatMul", query, key), self._root)
        return self._do("MatMul", self._do("Softmax", scores, axis=-1), value)

    def layer(self, number: int, state: str) -> str:
        """The state behind one layer."""
        name = f"layers.{number}/"
        state = self._do("Add", state, self._tokens(number, name, state))
        state = self._do("Add", state, self._sound(number, name, state))
        normed = self._normed(state, f"{name}final_layernorm")
        left, gate = self._split(self._times(normed, self._product(f"{name}mlp/fc1")), 2)
        gate = self._do("QuickGelu", gate, domain=_QUANTIZED, alpha=1.0)
        inner = self._do("Mul", gate, left)
        return self._do("Add", state, self._times(inner, self._product(f"{name}mlp/fc2")))

    def _tokens(self, number: int, name: str, state: str) -> str:
        """Attention to the tokens so far, this one included."""
        normed = self._normed(state, f"{name}input_layernorm")
        three = [self._product(f"{name}self_attn/{part}_proj") for part in "qkv"]
        query, key, value = (
            self._do("Reshape", part, self._heads)
            for part in self._split(self._times(normed, *three), 3)
        )
        before = {
            part: self._do("Gather", f"{part}.{number}", "parents", axis=0)
            for part in ("key", "value")
        }
        last, last_but_one = self._constant(np.array([3])), self._constant(np.array([2]))
        key = self._do("Unsqueeze", self._turned(key), last)
        key = self._into(f"next_key.{number}", "Concat", before["key"], key, axis=3)
        value = self._do("Unsqueeze", value, last_but_one)
        value = self._into(f"next_value.{number}", "Concat", before["value"], value, axis=2)
        query = self._do("Unsqueeze", self._turned(query), last_but_one)
        seen = self._do("Reshape", self._attended(query, key, value), self._flat)
        return self._times(seen, self._product(f"{name}self_attn/o_proj"))

    def _sound(self, number: int, name: str, state: str) -> str:
        """Attention to the sound, which all rows share."""
        normed = self._normed(state, f"{name}post_attention_layernorm")
        query = self._times(normed, self._product(f"{name}encoder_attn/q_proj"))
        query = self._do("Reshape", query, self._heads)
        by_head = self._do("Transpose", query, perm=[1, 0, 2])
        heard = self._attended(by_head, f"sound_key.{number}", f"sound_value.{number}")
        heard = self._do("Transpose", heard, perm=[1, 0, 2])
        heard = self._do("Reshape", heard, self._flat)
        return self._times(heard, self._product(f"{name}encoder_attn/o_proj"))

    def end(self, state: str) -> None:
        """From the last state to the tokens."""
        normed = self._normed(state, "norm")
        product = self._weights.products["/proj_out/MatMul_quant"]
        self._into("logits", "Identity", self._times(normed, product))

    def content(self) -> bytes:
        """The file."""
        number, real = TensorProto.INT64, TensorProto.FLOAT

        def told(name: str, kind: int, *shape: str | int) -> Any:  # noqa: ANN401 - no types
            return helper.make_tensor_value_info(name, kind, shape)

        inputs = [told("ids", number, "rows"), told("parents", number, "rows")]
        inputs.append(told("place", number))
        outputs = [told("logits", real, "rows", "vocabulary")]
        for layer in range(LAYERS):
            inputs += [
                told(f"key.{layer}", real, "before", HEADS, WIDTH, "tokens"),
                told(f"value.{layer}", real, "before", HEADS, "tokens", WIDTH),
                told(f"sound_key.{layer}", real, HEADS, WIDTH, "frames"),
                told(f"sound_value.{layer}", real, HEADS, "frames", WIDTH),
            ]
            outputs += [
                told(f"next_key.{layer}", real, "rows", HEADS, WIDTH, "longer"),
                told(f"next_value.{layer}", real, "rows", HEADS, "longer", WIDTH),
            ]
        graph = helper.make_graph(self._nodes, "step", inputs, outputs, self._constants)
        opsets = [helper.make_opsetid("", _OPSET), helper.make_opsetid(_QUANTIZED, 1)]
        made = helper.make_model(graph, opset_imports=opsets, ir_version=_IR)
        content: bytes = made.SerializeToString()
        return content
