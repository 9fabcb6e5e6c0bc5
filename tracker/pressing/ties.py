"""Things tied to each other as alike or as different, with a way back: what follows from what, and what contradicts."""

from __future__ import annotations


class Ties:
    """Nodes, from 0, tied as alike or different."""

    def __init__(self, nodes: int) -> None:
        self.parent = list(range(nodes))
        self.differs = [0] * nodes
        self.size = [1] * nodes
        self.tied: list[tuple[int, int, int]] = []

    def find(self, node: int) -> tuple[int, int]:
        """The root of a node, and whether the node differs from it."""
        differs = 0
        while self.parent[node] != node:
            differs ^= self.differs[node]
            node = self.parent[node]
        return node, differs

    def tie(self, first: int, second: int, differ: int) -> bool:
        """Tie two nodes. False where that contradicts what is tied."""
        (a, x), (b, y) = self.find(first), self.find(second)
        if a == b:
            return x ^ y == differ
        if self.size[a] < self.size[b]:
            a, b = b, a
        self.parent[b], self.differs[b] = a, x ^ y ^ differ
        self.size[a] += self.size[b]
        self.tied.append((b, a, self.differs[b]))
        return True

    def back(self, mark: int) -> None:
        """Undo all ties after the first `mark`."""
        while len(self.tied) > mark:
            node, parent, _ = self.tied.pop()
            self.size[parent] -= self.size[node]
            self.parent[node], self.differs[node] = node, 0
