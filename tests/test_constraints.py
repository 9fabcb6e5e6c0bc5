"""The optimiser against trying every choice, on networks drawn by lot; and on networks too large for that."""

from __future__ import annotations

from itertools import pairwise, product
from random import Random

import pytest

from tracker.pressing.solver import FORBIDDEN, Network, cheapest

Pairs = dict[tuple[int, int], list[list[int]]]
Groups = list[tuple[list[tuple[int, list[str]]], int]]


class Drawn:
    """A network drawn by lot, kept beside in a form that is easy to add up."""

    def __init__(self, chance: Random) -> None:
        self.network = Network()
        self.alone = [[self._cost(chance) for _ in range(chance.randint(1, 3))] for _ in range(chance.randint(1, 6))]
        for costs in self.alone:
            self.network.variable(costs)
        numbers = range(len(self.alone))
        self.pairs: list[tuple[int, int, list[list[int]]]] = []
        for first, second in product(numbers, numbers):
            if first != second and chance.random() < 0.4:
                table = [[self._cost(chance) for _ in self.alone[second]] for _ in self.alone[first]]
                self.pairs.append((first, second, table))
                self.network.pair(first, second, table)
        self.groups: Groups = []
        for _ in range(chance.randint(0, 3)):
            members = [(v, [chance.choice("xyz") for _ in self.alone[v]]) for v in chance.choices(numbers, k=3)]
            cost = chance.randint(0, 9)
            self.groups.append((members, cost))
            self.network.agree(members, cost)

    @staticmethod
    def _cost(chance: Random) -> int:
        return FORBIDDEN if chance.random() < 0.15 else chance.choice((0, 0, 1, 2, 5))

    def cost(self, values: tuple[int, ...]) -> int:
        total = sum(costs[value] for costs, value in zip(self.alone, values, strict=True))
        total += sum(table[values[a]][values[b]] for a, b, table in self.pairs)
        for members, cost in self.groups:
            total += cost * (len({labels[values[v]] for v, labels in members}) > 1)
        return total

    def least(self) -> int:
        return min(map(self.cost, product(*(range(len(costs)) for costs in self.alone))))


def test_nothing_is_cheaper_than_the_cheapest() -> None:
    """Some networks of the lot are impossible, and most are not."""
    impossible = 0
    for seed in range(400):
        drawn = Drawn(Random(seed))
        found, least = cheapest(drawn.network), drawn.least()
        if least >= FORBIDDEN:
            impossible += 1
            assert found is None, seed
        else:
            assert found is not None, seed
            assert found.proven, seed
            assert found.cost == least == drawn.cost(found.values), seed
    assert 20 < impossible < 380


def test_of_equal_ones_it_is_always_the_same() -> None:
    found = {cheapest(Drawn(Random(7)).network) for _ in range(3)}
    assert len(found) == 1


def test_without_variables_there_is_nothing_to_pay() -> None:
    found = cheapest(Network())
    assert found is not None
    assert (found.values, found.cost) == ((), 0)


def test_a_chain_of_thousands_takes_turns() -> None:
    network = Network()
    numbers = [network.variable([0, 1]) for _ in range(5000)]
    for first, second in pairwise(numbers):
        network.pair(first, second, [[FORBIDDEN, 0], [0, FORBIDDEN]])
    found = cheapest(network)
    assert found is not None
    assert found.proven
    assert found.cost == 2500
    assert all(a != b for a, b in pairwise(found.values))


def test_a_dense_square_of_groups_is_settled_at_once() -> None:
    """Every row holds a label of every column, by turns one way and the other: all columns must agree."""
    network = Network()
    columns = [network.variable([0, place % 3]) for place in range(40)]
    for row in range(40):
        network.agree([(column, [row % 2, 1 - row % 2]) for column in columns], 1000)
    found = cheapest(network)
    assert found is not None
    assert found.proven
    assert found.values == (0,) * 40


def test_groups_that_cannot_agree_are_paid_for_once_each() -> None:
    network = Network()
    first, second = network.variable([0, 0]), network.variable([0, 0])
    network.agree([(first, ["left", "right"]), (second, ["left", "right"])], 10)
    network.agree([(first, ["left", "right"]), (second, ["right", "left"])], 3)
    network.agree([(first, ["left", "right"]), (second, ["right", "left"])], 4)
    found = cheapest(network)
    assert found is not None
    assert found.cost == 7


def test_cut_short_it_says_so() -> None:
    """Ten variables, each beside all others: the first answer found is kept, and not called the best."""
    chance = Random(3)
    network = Network()
    numbers = [network.variable([0, 0, 0]) for _ in range(10)]
    for first in numbers:
        for second in numbers[:first]:
            network.pair(first, second, [[chance.randint(0, 9) for _ in range(3)] for _ in range(3)])
    short, full = cheapest(network, limit=1), cheapest(network)
    assert short is not None
    assert full is not None
    assert (short.proven, full.proven) == (False, True)
    assert short.cost >= full.cost


def test_a_pair_needs_two_variables() -> None:
    network = Network()
    only = network.variable([0, 0])
    with pytest.raises(ValueError, match="two different"):
        network.pair(only, only, [[0, 0], [0, 0]])
