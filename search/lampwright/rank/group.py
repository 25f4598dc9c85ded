"""Drawings of one circuit, put together.

Series order and twists at two nodes change the drawing and nothing else. Drawings are
one circuit just if the part voltages and terminal potentials they allow are the same.
"""

from lampwright.graphs.drawings import drawing_key
from lampwright.network.embed import Embedding
from lampwright.network.layout import Layout


def circuit_key(embedding: Embedding, layout: Layout) -> bytes:
    """Equal for two embeddings just if they are drawings of one circuit."""
    filaments = len(layout.filaments)
    labels = [*layout.filaments, *["diode"] * embedding.diodes, *["resistor"] * embedding.resistors]
    directed = [*[False] * filaments, *[True] * embedding.diodes, *[False] * embedding.resistors]
    edges = [(int(a), int(b)) for a, b in embedding.ends]
    key = drawing_key(embedding.blocks + embedding.joints, embedding.blocks, edges, labels, directed)
    return bytes(embedding.partition) + b":" + key
