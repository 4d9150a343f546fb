"""Posterior probabilities of some cases in tests/cases by importance sampling, written to posteriors.json.

Made with Python 3.11, scipy 1.17.1 and numpy 2.4.6:

    pip install scipy==1.17.1 numpy==2.4.6
    python posteriors.py                       # the cases in CASES, to posteriors.json
    python posteriors.py L1-0003 L2-0010       # others, printed

The model is in posteriors_model.py. For each fault Levenberg-Marquardt from many starts finds the modes. Draws go far
along the directions that the readings leave open, and in the others follow the curved surface that the readings fix;
the mean weight of the draws is the evidence, with its standard error (importance sampling with mixtures: A. B. Owen,
Monte Carlo theory, methods and examples, 2013, chapter 9; from memory). Every fault whose weight by Laplace's approximation
is within e^-9 of the largest is sampled, the others keep that approximation.
"""

import json
import os
import sys
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from scipy.special import gammaln, logsumexp, ndtr

from posteriors_model import Case, Fault, P, World

CASES = ["L1-0025", "L1-0026"]
DRAWS, CHUNK = 20_000, 2_000
SEED = 20_261_125
# Shape of the proposal: degrees of freedom, and how much wider than Laplace's normal.
FREEDOM, WIDER = 16.0, 1.1
CHORDS = 2
# Logs of weight below the best that are not sampled, and gross misfit above the least that is not even fitted.
NEGLIGIBLE, HOPELESS = 9.0, 18.0


def log_t(x: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """Log density of a multivariate t with squared scales WIDER / curve."""
    order = len(curve)
    gammas = gammaln(0.5 * (FREEDOM + order)) - gammaln(0.5 * FREEDOM)
    scale = 0.5 * (order * np.log(FREEDOM * np.pi * WIDER) - np.log(curve).sum())
    return gammas - scale - 0.5 * (FREEDOM + order) * np.log1p((x**2 * curve).sum(axis=1) / (FREEDOM * WIDER))


def draw_t(rng: np.random.Generator, count: int, curve: np.ndarray) -> np.ndarray:
    """Draws from the same."""
    scale = np.sqrt(WIDER * FREEDOM / rng.chisquare(FREEDOM, count))
    return scale[:, None] * rng.standard_normal((count, len(curve))) / np.sqrt(curve)


@dataclass
class Mode:
    """A mode with the principal directions of the readings' slopes there; the readings hold the `thin` first ones.

    Along the others a draw goes far, and the thin coordinates follow the readings' curved surface by chord iterations.
    """

    world: World
    centre: np.ndarray
    slope: np.ndarray
    weight: np.ndarray

    def __post_init__(self) -> None:
        _, singular, rows = np.linalg.svd(np.sqrt(self.weight)[:, None] * self.slope)
        self.curve = np.ones(self.world.order)
        self.curve[: len(singular)] += singular**2
        self.basis, self.thin = rows.T, int((singular > 1).sum())

    def follow(self, wide: np.ndarray) -> np.ndarray:
        """Thin coordinates at which the readings fit best, about."""
        thin = np.zeros((len(wide), self.thin))
        for _ in range(CHORDS):
            z = self.at(thin, wide)
            s = self.world.standardised(z)
            gradient = (z + (self.weight * s) @ self.slope) @ self.basis[:, : self.thin]
            thin -= np.clip(gradient / self.curve[: self.thin], -1, 1)
        return thin

    def at(self, thin: np.ndarray, wide: np.ndarray) -> np.ndarray:
        return self.centre + np.concatenate([thin, wide], axis=1) @ self.basis.T

    def draw(self, rng: np.random.Generator, count: int) -> np.ndarray:
        wide = draw_t(rng, count, self.curve[self.thin :])
        return self.at(self.follow(wide) + draw_t(rng, count, self.curve[: self.thin]), wide)

    def log_density(self, z: np.ndarray) -> np.ndarray:
        own = (z - self.centre) @ self.basis
        thin, wide = own[:, : self.thin], own[:, self.thin :]
        return log_t(wide, self.curve[self.thin :]) + log_t(thin - self.follow(wide), self.curve[: self.thin])


def climb(world: World, z: np.ndarray, use: np.ndarray, robust: bool, steps: int) -> np.ndarray:
    """Levenberg-Marquardt from many starts at once; `use` says which readings count for each start."""
    case, (count, order) = world.case, z.shape
    damping = np.full(count, 1e-2)
    scale = -np.log(case.sd * np.sqrt(2 * np.pi))

    def weigh(s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        log = scale - 0.5 * s**2
        if robust:
            both = np.logaddexp(log, case.mistake)
            return np.exp(log - both), -both
        return use, 0.5 * use * s**2

    s = world.standardised(z)
    for _ in range(steps):
        jacobian = slopes(world, z, s)
        w, loss = weigh(s)
        cost = loss.sum(axis=1) + 0.5 * (z**2).sum(axis=1)
        gradient = z + np.einsum("nrd,nr->nd", jacobian, w * s)
        curve = np.eye(order) * (1 + damping)[:, None, None] + np.einsum("nrd,nr,nre->nde", jacobian, w, jacobian)
        step = np.linalg.solve(curve, gradient[:, :, None])[:, :, 0]
        step *= np.minimum(1, 1.5 / np.maximum(np.abs(step).max(axis=1), 1e-12))[:, None]
        moved = np.clip(z - step, -6, 6)
        trial = world.standardised(moved)
        better = weigh(trial)[1].sum(axis=1) + 0.5 * (moved**2).sum(axis=1) < cost
        z = np.where(better[:, None], moved, z)
        s = np.where(better[:, None], trial, s)
        damping = np.clip(np.where(better, damping / 4, damping * 5), 1e-6, 1e8)
    return z


def slopes(world: World, z: np.ndarray, s: np.ndarray) -> np.ndarray:
    """Forward differences of the standardised readings: [sample, reading, parameter]."""
    count, order = z.shape
    near = (z[:, None, :] + 1e-4 * np.eye(order)).reshape(-1, order)
    return (world.standardised(near).reshape(count, order, -1) - s[:, None, :]).transpose(0, 2, 1) / 1e-4


def starts(world: World) -> tuple[np.ndarray, float]:
    """Starts over size, place and limit that fit best by gross readings only, and how badly the best does."""
    grids = {2: [-1.5, 0.0, 1.5]}
    grids |= {k: np.linspace(-2.8, 2.8, 13) for k in world.size.values()}
    grids |= {k: [-1.2, 0.0, 1.2] for k in world.place.values()}
    mesh = np.stack(np.meshgrid(*grids.values(), indexing="ij"), axis=-1).reshape(-1, len(grids))
    z = np.zeros((len(mesh), world.order))
    z[:, list(grids)] = mesh
    volts, y = world.volts(z), world.case.y
    rough = ((volts - y) / (0.3 * np.maximum(np.abs(volts), np.abs(y)) + 0.01)) ** 2
    rough = np.minimum(rough, 9).sum(axis=1)
    return z[np.argsort(rough, kind="stable")[:10]], float(rough.min())


def modes(world: World, begin: np.ndarray) -> list[tuple[float, Mode]]:
    """Every mode that matters, with Laplace's log evidence of it."""
    everything = np.ones((len(begin), len(world.case.y)))
    plain = climb(world, begin, everything, False, 12)
    s = np.abs(world.standardised(plain))
    without = everything.copy()
    without[np.arange(len(s)), s.argmax(axis=1)] = 0
    odd = s.max(axis=1) > 3
    ends = [plain] + ([climb(world, plain[odd], without[odd], False, 8)] if odd.any() else [])
    z = climb(world, np.concatenate(ends), np.concatenate([everything, without[odd]]), True, 8)
    top = world.log_target(z)
    found: list[tuple[float, Mode]] = []
    for i in np.argsort(-top, kind="stable"):
        if top[i] < top.max() - 9 or len(found) == 3:
            break
        s = world.standardised(z[i : i + 1])
        log = -np.log(world.case.sd * np.sqrt(2 * np.pi)) - 0.5 * s[0] ** 2
        weight = np.exp(log - np.logaddexp(log, world.case.mistake))
        mode = Mode(world, z[i], slopes(world, z[i : i + 1], s)[0], weight)
        away = lambda other: ((z[i] - other.centre) @ other.basis) ** 2 @ other.curve
        if all(away(other) > 4 for _, other in found):
            volume = 0.5 * world.order * np.log(2 * np.pi) - 0.5 * np.log(mode.curve).sum()
            found.append((top[i] + volume, mode))
    return found


def sample(modes: list[tuple[float, Mode]], rng: np.random.Generator, draws: int):
    """Draws and the logarithms of their weights: target over mixture."""
    shares = np.maximum(np.exp([log - modes[0][0] for log, _ in modes]), 0.05)
    shares /= shares.sum()
    z, w = [], []
    for _ in range(draws // CHUNK):
        counts = rng.multinomial(CHUNK, shares)
        some = np.concatenate([mode.draw(rng, count) for (_, mode), count in zip(modes, counts)])
        logs = [np.log(share) + mode.log_density(some) for share, (_, mode) in zip(shares, modes)]
        z.append(some)
        w.append(modes[0][1].world.log_target(some) - logsumexp(logs, axis=0))
    return np.concatenate(z), np.concatenate(w)


def quantiles(values: np.ndarray, weights: np.ndarray) -> list[float]:
    """5, 50 and 95 % points."""
    order = np.argsort(values)
    sums = np.cumsum(weights[order])
    return [float(values[order][np.searchsorted(sums, p * sums[-1])]) for p in (0.05, 0.5, 0.95)]


@dataclass
class Option:
    """One thing that may be: a fault in one rest of the supply, or none; its log weight and how sure that is."""

    world: World
    prior: float
    log: float = -np.inf
    relative: float = 0.0
    draws: np.ndarray | None = None
    shares: np.ndarray | None = None

    def name(self) -> tuple[str, str]:
        fault = next(iter(self.world.faults), None)
        return (fault.site, fault.kind) if fault else ("", "healthy")


def options(case: Case) -> list[Option]:
    """All that may be, with its prior weight."""
    faults = case.faults()
    total = sum(f.weight for f in faults)
    rests = (False, True) if case.folds else (False,)
    weighed: list[tuple[tuple[Fault, ...], float]] = [((f,), f.weight / total) for f in faults] + [((), P["healthy"])]
    return [Option(World(case, f, low), np.log(weight / len(rests))) for f, weight in weighed for low in rests]


def posterior(name: str, draws: int = DRAWS, aloud: bool = False) -> dict:
    """One case's entry in the file."""
    case = Case(name)
    all_ = options(case)
    begun = [starts(o.world) for o in all_]
    least = min(misfit for _, misfit in begun)
    found = [modes(o.world, z) if misfit < least + HOPELESS else [] for o, (z, misfit) in zip(all_, begun)]
    for option, own in zip(all_, found):
        if own:
            option.log = option.prior + logsumexp([log for log, _ in own])
    best = max(o.log for o in all_)
    for number, (option, own) in enumerate(zip(all_, found)):
        if option.log < best - NEGLIGIBLE:
            continue
        z, w = sample(own, np.random.default_rng([SEED, number]), draws)
        laplace, option.log = option.log, option.prior + logsumexp(w) - np.log(len(w))
        option.draws, option.shares = z, np.exp(w - logsumexp(w))
        concentration = (option.shares**2).sum()
        option.relative = np.sqrt(concentration - 1 / len(w))
        if aloud:
            size = f"effective {1 / concentration:.0f} Laplace {laplace - option.log:+.3f}"
            print(name, *option.name(), f"{len(own)} modes, log {option.log - best:.2f}", size, file=sys.stderr)
    return {"case": name} | summary(case, all_)


def summary(case: Case, all_: list[Option]) -> dict:
    """Probabilities with standard errors (delta method), ohms and tenths of wires, gathered by site and kind."""
    total = np.logaddexp(logsumexp([o.log for o in all_]), case.unexplained)
    share = lambda option: float(np.exp(option.log - total))
    spread = sum((share(o) * o.relative) ** 2 for o in all_)
    names = sorted({o.name() for o in all_}, key=lambda n: (-sum(share(o) for o in all_ if o.name() == n), n))
    suspects = []
    for name in names:
        mine = [o for o in all_ if o.name() == name]
        p = sum(map(share, mine))
        own = sum((share(o) * o.relative) ** 2 for o in mine)
        if p > 5e-5:
            one = {"site": name[0], "kind": name[1], "p": round(p, 5)}
            one["se"] = round(float(np.sqrt((1 - 2 * p) * own + p**2 * spread)), 5)
            drawn = [o for o in mine if o.shares is not None and o.world.faults]
            suspects.append(one | (inside(drawn, [share(o) for o in drawn]) if drawn else {}))
    return {"suspects": suspects, "unexplained": float(np.exp(case.unexplained - total))}


def inside(drawn: list[Option], weights: list[float]) -> dict:
    """Ohms of a suspect (5, 50, 95 %), and its probability in each tenth of its wire."""
    weight = np.concatenate([w * o.shares for w, o in zip(weights, drawn)])
    fault, found = drawn[0].world.faults[0], {}
    if fault.size and fault.effect not in ("weak", "early"):
        ohms = np.concatenate([o.world.ohms(o.world.faults[0], o.draws) for o in drawn])
        found["ohms"] = [round(q, 4) for q in quantiles(ohms, weight)]
    if fault.along:
        x = np.concatenate([ndtr(o.draws[:, o.world.place[o.world.faults[0]]]) for o in drawn])
        found["tenths"] = [round(float(t), 5) for t in np.histogram(x, 10, (0, 1), weights=weight)[0]]
    return found


def main() -> None:
    """Writes the file beside this one, one case a line; prints cases that are named instead."""
    if sys.argv[1:]:
        for name in sys.argv[1:]:
            print(json.dumps(posterior(name, aloud=True)), flush=True)
        return
    made_with = {name: version(name) for name in ("scipy", "numpy")}
    lines = ",\n".join(json.dumps(posterior(name, aloud=True), separators=(",", ":")) for name in CASES)
    text = '{"made_with":%s,"draws":%d,\n"cases":[\n%s\n]}\n' % (json.dumps(made_with), DRAWS, lines)
    Path(__file__).with_suffix(".json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
