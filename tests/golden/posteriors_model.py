"""The model of posteriors.py: a case in tests/cases as unknowns, a circuit and readings; no code of the program.

What is unknown, how much, and what faults there are is the program's, read from its sources:

- Unknown, all independent and standard normal after a transformation: every element's ln ohms (spreads: SPREAD below),
  the supply's volts (tolerance / sqrt 3, JCGM 100), ln of its source ohms and limits (0.6 ln factor), one relative gain
  of the meter a range (percent / sqrt 3), ln of a fault's size (the table of priors) and, for a short in a wire, the
  probit of the fraction x along it, so that x is uniform.
- Volts: Kirchhoff's current law at every node, solved densely for every sample, nothing linearised. Wires 1/58 ohm
  mm2/m (IEC 60028); the supply is a Thevenin source, or its limit where that is exceeded (foldback: linear between
  limit and short circuit; where it can rest in two ways each has half); electronic loads draw a constant current above
  0.4 of their knee and are resistive with a spread of 0.4 below it; a parted pin is 1e13 ohm, the meter 10 megohm.
- A reading y of v volts: (1-m) N(y; v (1 + gain), sd) + m q(y), with sd^2 = (counts step)^2 / 3 + step^2 / 12, m the
  chance of a mistake and q the density of what a mistaken meter shows. All is divided by (1-m)^readings.
- Single faults with weights from assets/priors.ron, and none at all; no faults together.
"""

import json
import re
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

import numpy as np
from scipy.special import ndtr

HERE = Path(__file__).resolve().parent
LEAK, PARTED, LEAST_OHM = 1e-10, 1e-13, 1e-6
SPREAD = {"wire": 0.06, "pin": 0.45, "strap": 0.45, "load": 0.10}
STARVED, FALLS_OFF = 0.4, 0.4


def priors() -> dict[str, float | tuple[float, float]]:
    """The program's table of prior weights."""
    text = (HERE.parent.parent / "assets" / "priors.ron").read_text(encoding="utf-8")
    text = re.sub(r"//.*", "", text)
    pairs = re.findall(r"(\w+): (\([^)]*\)|[-\d.e]+)", text)
    return {k: tuple(map(float, v.strip("()").split(","))) if "(" in v else float(v) for k, v in pairs}


P = priors()
SHORT = (np.log(P["short_ohm"][0]), P["short_ohm"][1] * np.log(10))
SERIES = (np.log(P["series_ohm"][0]), P["series_ohm"][1] * np.log(10))


@dataclass(frozen=True)
class Fault:
    """A fault: what it is called, its prior weight, what it does to which things, the prior of ln size, a place."""

    site: str
    kind: str
    weight: float
    effect: str
    at: tuple = ()
    size: tuple[float, float] | None = None
    along: bool = False


@dataclass
class Case:
    """A case from tests/cases as numbered elements (role, name, a, b, ohm, spread); ground is node -1."""

    name: str
    json: dict = field(init=False)
    nodes: dict[str, int] = field(default_factory=dict)
    elements: list[tuple] = field(default_factory=list)
    draws: dict[int, tuple[float, float]] = field(default_factory=dict)

    def node(self, name: str) -> int:
        return -1 if name == "BN" else self.nodes.setdefault(name, len(self.nodes))

    def add(self, role: str, name: str, a: str, b: str, ohm: float, spread: float) -> None:
        self.elements.append((role, name, self.node(a), self.node(b), max(ohm, LEAST_OHM), spread))

    def __post_init__(self) -> None:
        self.json = json.loads((HERE.parent / "cases" / f"{self.name}.json").read_text(encoding="utf-8"))
        c, s = self.json, self.json["supply"]
        self.feed, self.ret = self.node(s["feed"]), self.node(s["return"])
        for w in c["wires"]:
            self.add("wire", w["id"], w["a"], w["b"], w["length_m"] / 58 / w["mm2"], SPREAD["wire"])
        for k in c["connectors"]:
            for number, (near, far) in enumerate(k["pins"], 1):
                self.add("pin", f"{k['id']} pin {number}", near, far, k["contact_ohm"], SPREAD["pin"])
        for g in c["grounds"]:
            self.add("strap", g["id"], g["node"], "BN", g["ohm"], SPREAD["strap"])
        for load in c["loads"]:
            if load["model"] == "amp":
                draw, knee = load["ma"] / 1e3, FALLS_OFF * load["knee_v"]
                self.draws[len(self.elements)] = (draw, knee)
                self.add("load", load["id"], load["a"], load["b"], knee / draw, SPREAD["load"])
            else:
                self.add("load", load["id"], load["a"], load["b"], load["ohm"], SPREAD["load"])
        self.folds = s["limit_mode"] == "foldback"
        self.short_circuit = s.get("short_circuit_a", s["limit_a"])
        self.lengths = {w["id"]: max(w["length_m"], 0.02) for w in c["wires"]}
        self.measure()

    def measure(self) -> None:
        """Readings: port, value, sd, gain, mistaken density; and the states, each with its readings."""
        m, nominal = self.json["meter"], self.json["supply"]["nominal_v"]
        self.port, self.y, self.sd, gains, states = [], [], [], [], {}
        for number, r in enumerate(self.json["readings"]):
            assert r["kind"] == "volts_dc"
            index = next((i for i, x in enumerate(m["ranges"]) if abs(r["value"]) <= x[0]), len(m["ranges"]) - 1)
            step = m["ranges"][index][1]
            self.port.append((self.node(r["red"]), self.node(r["black"])))
            self.y.append(r["value"])
            self.sd.append(np.sqrt((m["counts"] * step) ** 2 / 3 + step**2 / 12))
            gains.append(index)
            states.setdefault(tuple(sorted(r["unplugged"])), []).append(number)
        self.y, self.sd, self.states = np.array(self.y), np.array(self.sd), states
        self.ranges = sorted(set(gains))
        self.gain = np.array([self.ranges.index(g) for g in gains])
        self.relative = m["percent"] / 100 / np.sqrt(3)
        normal = lambda at, sd: np.exp(-0.5 * ((self.y - at) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
        anything = 1 / (2.2 * max(nominal, 1.0))
        q = 0.5 * anything + 0.25 * normal(0, 0.003) + 0.25 * normal(nominal, 0.03 * nominal)
        self.mistake = np.log(P["mistaken_reading"] / (1 - P["mistaken_reading"])) + np.log(q)
        self.unexplained = np.log(P["unexplained"]) + np.log(q).sum()

    def nets(self, *roles: str) -> list[int]:
        """For every node and ground the net it belongs to, joined by elements of the roles."""
        net = list(range(len(self.nodes) + 1))
        for role, _, a, b, *_ in self.elements:
            if role in roles and net[a] != net[b]:
                old = net[b]
                net = [net[a] if n == old else n for n in net]
        return net

    def faults(self) -> list[Fault]:
        """Every single fault that is weighed."""
        net = self.nets("wire", "pin", "strap")
        back = {net[-1], net[self.ret]}
        found: list[Fault] = []
        for row, (role, name, a, b, *_) in enumerate(self.elements):
            live = net[a] not in back
            add = lambda kind, weight, *more: found.append(Fault(name, kind, weight, *more))
            if role == "wire":
                if live:
                    weight = P["short_per_wire"] + P["short_per_metre"] * self.lengths[name]
                    add("short_to_ground", weight, "along", (row,), SHORT, True)
                add("open", P["open_per_wire"], "cut", (row,))
                add("high_resistance", P["high_resistance_per_wire"], "series", (row,), SERIES)
            elif role == "pin":
                for end in (a, b) if live else ():
                    add("short_to_ground", P["short_per_pin"], "shunt", (end, -1), SHORT)
                add("open", P["open_per_pin"], "cut", (row,))
                add("high_resistance", P["high_resistance_per_pin"], "series", (row,), SERIES)
            elif role == "strap":
                add("open", 0.3 * P["ground_bad"], "cut", (row,))
                add("high_resistance", P["ground_bad"], "series", (row,), SERIES)
            else:
                add("draws_too_much", P["short_in_load"], "shunt", (a, b), SHORT)
                add("draws_nothing", P["load_draws_nothing"], "cut", (row,))
        for name, node in self.nodes.items():
            if "." not in name and net[node] not in back:
                found.append(Fault(name, "short_to_ground", P["short_per_splice"], "shunt", (node, -1), SHORT))
                found.append(Fault(name, "undrawn_short", P["undrawn_member"], "shunt", (node, -1), SHORT))
        supply = self.json["supply"]["id"]
        found.append(Fault(supply, "supply_dead", P["supply_dead"], "dead"))
        found.append(Fault(supply, "supply_low", P["supply_low"], "weak", (), (-0.4, 0.4)))
        found.append(Fault(supply, "limits_early", P["limits_early"], "early", (), (-1.2, 0.5)))
        found.append(Fault(supply, "undrawn_short", P["undrawn_member"], "shunt", (self.feed, -1), SHORT))
        return found + self.touching(net, back)

    def touching(self, net: list[int], back: set[int]) -> list[Fault]:
        """Wires of different nets that meet in one connector, touching at their middles."""
        plugs = {k["id"] for k in self.json["connectors"]}
        ends = {w["id"]: {p.split(".")[0] for p in (w["a"], w["b"])} & plugs for w in self.json["wires"]}
        rows = [row for row, e in enumerate(self.elements) if e[0] == "wire"]
        found = []
        for i, k in combinations(rows, 2):
            (_, one, a, *_), (_, two, b, *_) = self.elements[i], self.elements[k]
            if ends[one] & ends[two] and net[a] != net[b] and not (net[a] in back and net[b] in back):
                weight = P["short_between_per_metre"] * min(self.lengths[one], self.lengths[two])
                found.append(Fault(f"{one} to {two}", "short_between", weight, "between", (i, k), SHORT))
        return found


class World:
    """A case under given faults: from standard normal parameters to volts."""

    def __init__(self, case: Case, faults: tuple[Fault, ...], low: bool = False) -> None:
        self.case, self.faults, self.low = case, faults, low
        self.first = 4 + len(case.elements)
        self.free = self.first + len(case.ranges)
        self.size, self.place, self.order = {}, {}, self.free
        for f in faults:
            if f.size:
                self.size[f] = self.order
                self.order += 1
            if f.along:
                self.place[f] = self.order
                self.order += 1
        self.total = len(case.nodes) + sum({"along": 1, "between": 2}.get(f.effect, 0) for f in faults)

    def ohms(self, fault: Fault, z: np.ndarray) -> np.ndarray:
        """Size of a fault (ohms, or a factor on the supply)."""
        return np.exp(fault.size[0] + fault.size[1] * z[:, self.size[fault]])

    def branches(self, z: np.ndarray) -> tuple[list[list[int]], list[np.ndarray]]:
        """Ends and siemens of every branch, the elements first."""
        case = self.case
        ends = [[e[2], e[3]] for e in case.elements]
        siemens = [np.exp(e[5] * z[:, 4 + row]) / e[4] for row, e in enumerate(case.elements)]
        spare = len(case.nodes)
        for f in self.faults:
            size = self.ohms(f, z) if f.size else None
            if f.effect == "cut":
                siemens[f.at[0]] = np.full(len(z), PARTED)
            elif f.effect == "series":
                siemens[f.at[0]] = siemens[f.at[0]] / (1 + siemens[f.at[0]] * size)
            elif f.effect == "shunt":
                ends.append(list(f.at))
                siemens.append(1 / size)
            elif f.effect in ("along", "between"):
                middles = []
                for row in f.at:
                    x = np.clip(ndtr(z[:, self.place[f]]), 1e-6, 1 - 1e-6) if f.along else 0.5
                    middles.append(spare)
                    ends.append([spare, ends[row][1]])
                    ends[row] = [ends[row][0], spare]
                    siemens.append(siemens[row] / (1 - x))
                    siemens[row] = siemens[row] / x
                    spare += 1
                ends.append((middles + [-1])[:2])
                siemens.append(1 / size)
        return ends, siemens

    def supply(self, z: np.ndarray) -> tuple[np.ndarray, ...]:
        """Volts, ohms, limit, short-circuit current; a dead one has no limit and gives nothing."""
        s = self.case.json["supply"]
        volts = s["nominal_v"] * (1 + s["tolerance"] / np.sqrt(3) * z[:, 0])
        ohms = s["source_ohm"] * np.exp(0.6 * np.log(s["source_ohm_factor"]) * z[:, 1])
        spread = 0.6 * np.log(s["limit_factor"])
        limit = s["limit_a"] * np.exp(spread * z[:, 2])
        short = self.case.short_circuit * np.exp(spread * z[:, 3 if self.case.folds else 2])
        for f in self.faults:
            if f.effect == "weak":
                volts = volts * self.ohms(f, z)
            elif f.effect == "early":
                limit, short = limit * self.ohms(f, z), short * self.ohms(f, z)
        return volts, ohms, limit, short

    def volts(self, z: np.ndarray) -> np.ndarray:
        """What every reading would show before the meter's own errors; one row a sample."""
        out = np.empty((len(z), len(self.case.y)))
        ends, siemens = self.branches(z)
        supply = self.supply(z)
        for unplugged, readings in self.case.states.items():
            out[:, readings] = self.state(z, ends, siemens, supply, unplugged, readings)
        return out

    def unit(self, a: int, b: int) -> np.ndarray:
        """+1 at one node and -1 at another, ground left out."""
        row = np.zeros(self.total + 1)
        row[a] += 1
        row[b] -= 1
        return row[: self.total]

    def state(self, z, ends, siemens, supply, unplugged, readings) -> np.ndarray:
        """One plug state: regimes of supply and electronic loads are changed until they agree with the volts."""
        case, count = self.case, len(z)
        g = np.stack(siemens, axis=1)
        for row, (role, name, *_) in enumerate(case.elements):
            if role == "pin" and name.split()[0] in unplugged:
                g[:, row] = PARTED
        loads = list(case.draws)
        g[:, loads] = 0.0
        incidence = np.array([self.unit(a, b) for a, b in ends])
        network = (incidence.T[None] * g[:, None, :]) @ incidence + LEAK * np.eye(self.total)
        output = self.unit(case.feed, case.ret)
        ports = np.array([self.unit(*case.port[r]) for r in readings])
        volts, ohms, limit, short = supply
        alive = not any(f.effect == "dead" for f in self.faults)
        slope = (limit - short) / case.json["supply"]["nominal_v"]
        limited = np.full(count, self.low and case.folds)
        starved = np.full((count, len(loads)), self.low)
        seen = np.empty((count, len(readings)))
        todo = np.arange(count)
        for _ in range(12):
            if not len(todo):
                break
            at_limit, below = limited[todo], starved[todo]
            y = alive * np.where(at_limit, -slope[todo], 1 / ohms[todo])
            j = alive * np.where(at_limit, short[todo], volts[todo] / ohms[todo])
            matrix = network[todo] + y[:, None, None] * np.outer(output, output)
            current = j[:, None] * output
            for row, low in zip(loads, below.T):
                self.draw(row, low, z[todo, 4 + row], incidence[row], matrix, current)
            meters = np.broadcast_to(ports.T, (len(todo), *ports.T.shape))
            solved = np.linalg.solve(matrix, np.concatenate([current[:, :, None], meters], axis=2))
            at, own = solved[:, :, 0], np.einsum("ri,nir->nr", ports, solved[:, :, 1:])
            seen[todo] = (at @ ports.T) / (1 + own / case.json["meter"]["input_ohm"])
            u = at @ output
            limited[todo] = (volts[todo] - u) / ohms[todo] > short[todo] + slope[todo] * u
            starved[todo] = at @ incidence[loads].T < np.array([case.draws[row][1] for row in loads])
            todo = todo[alive & (limited[todo] != at_limit) | (starved[todo] != below).any(axis=1)]
        return seen

    def draw(self, row, low, z, across, matrix, current) -> None:
        """Adds an electronic load: constant current, or below its knee a resistance."""
        if any(f.effect == "cut" and f.at == (row,) for f in self.faults):
            return
        own = np.exp(np.where(low, STARVED, self.case.elements[row][5]) * z)
        matrix += (low * own / self.case.elements[row][4])[:, None, None] * np.outer(across, across)
        current -= (~low * own * self.case.draws[row][0])[:, None] * across

    def standardised(self, z: np.ndarray) -> np.ndarray:
        """Every reading's distance from what it should show, in its own standard deviations."""
        gain = 1 + self.case.relative * z[:, self.first + self.case.gain]
        return (self.case.y - self.volts(z) * gain) / self.case.sd

    def log_target(self, z: np.ndarray) -> np.ndarray:
        """Log of prior times likelihood."""
        z = np.asarray(z)
        log = -0.5 * self.standardised(z) ** 2 - np.log(self.case.sd * np.sqrt(2 * np.pi))
        likely = np.logaddexp(log, self.case.mistake).sum(axis=1)
        return likely - 0.5 * (z**2).sum(axis=1) - 0.5 * self.order * np.log(2 * np.pi)
