"""Answers of independent solvers for 200 random resistor networks, written to random_networks.json.

Made with Python 3.11, networkx 3.6.1, scipy 1.17.1 and numpy 2.4.6:

    pip install networkx==3.6.1 scipy==1.17.1 numpy==2.4.6
    python random_networks.py

The networks are not stored. Both sides make them from a seed with the same linear congruential generator
(multiplier and increment: Knuth, The Art of Computer Programming, volume 2, MMIX). The last node is the reference.

Node voltages and resistances come from scipy's sparse LU. Over six decades of conductance a plain LU keeps nine to
ten digits only, so its solution is refined: the residual is the sum of branch currents at each node, in extended
precision. The resistances are computed once more by networkx (pseudo-inverse of the Laplacian, not refined).
"""

import json
from importlib.metadata import version
from pathlib import Path

import networkx as nx
import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

NETWORKS = 200
MOST_NODES = 300
DECADES = 6


class Lcg:
    """x <- 6364136223846793005 x + 1442695040888963407 (mod 2^64); the upper 53 bits are the draw."""

    def __init__(self, seed):
        self.state = seed

    def draw(self):
        """A number in [0, 1)."""
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 11) * 2.0**-53

    def below(self, bound):
        """An integer in 0..bound."""
        return int(self.draw() * bound)


def network(lcg):
    """Nodes without the reference, and branches (a, b, siemens). The reference is the node of the highest number."""
    nodes = 2 + lcg.below(MOST_NODES - 2)
    pairs = []
    for node in range(nodes):
        parent = lcg.below(node + 1)
        pairs.append((node, nodes if parent == node else parent))
    for _ in range(lcg.below(2 * nodes)):
        a = lcg.below(nodes + 1)
        pairs.append((a, (a + 1 + lcg.below(nodes)) % (nodes + 1)))
    return nodes, [(a, b, 10.0 ** (DECADES * lcg.draw() - 3.0)) for a, b in pairs]


class Solver:
    """Sparse LU of the conductance matrix, refined in extended precision."""

    def __init__(self, nodes, branches):
        self.nodes = nodes
        self.a, self.b = (np.array([branch[end] for branch in branches]) for end in (0, 1))
        self.siemens = np.array([branch[2] for branch in branches])
        rows = np.concatenate([self.a, self.b, self.a, self.b])
        columns = np.concatenate([self.a, self.b, self.b, self.a])
        values = np.concatenate([self.siemens, self.siemens, -self.siemens, -self.siemens])
        inside = (rows < nodes) & (columns < nodes)
        shape = (nodes, nodes)
        self.lu = splu(csc_matrix((values[inside], (rows[inside], columns[inside])), shape=shape))

    def solve(self, amperes):
        """Node voltages, the reference's 0 V last; `amperes` has an entry for the reference too."""
        volts = np.zeros(self.nodes + 1, dtype=np.longdouble)
        for _ in range(6):
            through = self.siemens.astype(np.longdouble) * (volts[self.a] - volts[self.b])
            left = amperes.astype(np.longdouble)
            np.subtract.at(left, self.a, through)
            np.add.at(left, self.b, through)
            correction = self.lu.solve(left[:-1].astype(float))
            volts[:-1] += correction
        assert np.max(np.abs(correction)) < 1e-14 * np.max(np.abs(volts)), "refinement converges"
        return volts


def answers(seed):
    """One network's entry in the file."""
    lcg = Lcg(seed)
    nodes, branches = network(lcg)
    solver = Solver(nodes, branches)
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(nodes + 1))
    graph.add_weighted_edges_from(branches)
    injected = [[lcg.below(nodes), 0.1 + lcg.draw()] for _ in range(3)]
    amperes = np.zeros(nodes + 1)
    for node, current in injected:
        amperes[node] += current
    volts = solver.solve(amperes)
    probed = [lcg.below(nodes) for _ in range(10)]
    ohms = []
    for _ in range(3):
        a = lcg.below(nodes + 1)
        b = (a + 1 + lcg.below(nodes)) % (nodes + 1)
        amperes = np.zeros(nodes + 1)
        amperes[a], amperes[b] = 1.0, -1.0
        column = solver.solve(amperes)
        plain = nx.resistance_distance(graph, a, b, weight="weight", invert_weight=False)
        ohms.append([a, b, float(column[a] - column[b]), float(plain)])
    return {
        "seed": seed,
        "nodes": nodes,
        "branches": len(branches),
        "injected": injected,
        "volts": [[node, float(volts[node])] for node in probed],
        "ohms": ohms,
    }


def main():
    """Writes the file beside this one, one network a line."""
    lines = [json.dumps(answers(1000 + index), separators=(",", ":")) for index in range(NETWORKS)]
    made_with = {name: version(name) for name in ("networkx", "scipy", "numpy")}
    text = '{"made_with":%s,\n"networks":[\n%s\n]}\n' % (json.dumps(made_with), ",\n".join(lines))
    Path(__file__).with_suffix(".json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
