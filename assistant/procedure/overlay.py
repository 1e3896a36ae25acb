"""The nodes of a sheet, found by id and changed without touching the rest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.yaml_nodes import Mapping, Node, Scalar, Sequence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.finding import Mark

Path = tuple[str | int, ...]  # keys of blocks, indices of lists


def at(node: Node | None, path: Path) -> Node | None:
    """The node at that path; None where there is none."""
    for part in path:
        if isinstance(part, int):
            node = node.items[part] if isinstance(node, Sequence) else None
        else:
            node = _value(node, part)
    return node


def nearest(root: Node, path: Path) -> Mark:
    """The place of the node at that path, or of the innermost block that there is."""
    while (node := at(root, path)) is None:
        path = path[:-1]
    return node.mark


def words(node: Node | None, key: str) -> str:
    """The text under a key of a block, its white space made single; "" stands in."""
    value = _value(node, key)
    return " ".join(value.text.split()) if isinstance(value, Scalar) else ""


def put(node: Node, path: Path, value: Node) -> Node:
    """The node with the value at that path, in place of what was there.

    Blocks on the way that are missing are made; a path leads through no list that is not there.
    """
    if not path:
        return value
    part, *rest = path
    if isinstance(part, int):
        assert isinstance(node, Sequence)  # noqa: S101 - paths come from ``blocks``
        items = list(node.items)
        items[part] = put(items[part], tuple(rest), value)
        return Sequence(tuple(items), node.mark)
    assert isinstance(node, Mapping)  # noqa: S101 - likewise
    old = _value(node, part) or Mapping((), value.mark)
    new = put(old, tuple(rest), value)
    pairs = [(key, new if _is(key, part) else found) for key, found in node.pairs]
    if not any(_is(key, part) for key, _ in node.pairs):
        pairs.append((Scalar(part, plain=True, mark=value.mark), new))
    return Mapping(tuple(pairs), node.mark)


def extend(root: Mapping, path: Path, items: tuple[Node, ...], index: int | None = None) -> Mapping:
    """The tree with items put into the list at that path, or added at its end."""
    old = at(root, path)
    before = old.items if isinstance(old, Sequence) else ()
    where = len(before) if index is None else index
    mark = items[0].mark if old is None else old.mark
    new = put(root, path, Sequence((*before[:where], *items, *before[where:]), mark))
    assert isinstance(new, Mapping)  # noqa: S101 - the path is not empty
    return new


def blocks(root: Mapping, key: str) -> dict[str, Path]:
    """The paths of the baths or components, by id."""
    return {words(node, "id"): path for path, node in _items(root, (key,))}


def steps(root: Mapping) -> dict[str, Path]:
    """The paths of the steps that the sheet states, by "track.step"."""
    return {
        f"{track}.{words(node, 'id')}": path
        for track, block in blocks(root, "components").items()
        for path, node in _items(root, (*block, "steps"))
    }


def _items(root: Mapping, path: Path) -> Iterator[tuple[Path, Node]]:
    node = at(root, path)
    for index, item in enumerate(node.items if isinstance(node, Sequence) else ()):
        yield (*path, index), item


def _value(node: Node | None, key: str) -> Node | None:
    pairs = node.pairs if isinstance(node, Mapping) else ()
    return next((value for found, value in pairs if _is(found, key)), None)


def _is(node: Node, key: str) -> bool:
    return isinstance(node, Scalar) and node.text == key
