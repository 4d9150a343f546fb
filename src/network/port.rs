//! Ports: weighted places of a network, and the small system that couples what is attached to them.
//!
//! An element attached at a port, be it a fault, a repaired conductance or the supply's present regime, draws a
//! current that depends linearly on its own port voltage. With the transfer resistances between the ports the
//! whole network needs no new factorisation (Woodbury's identity written in port voltages).
//!
//! Places on one and the same branch of resistance r, at fractions x ≤ y, share x (1 − y) r beyond what the transfer
//! resistances between the branch's nodes say; add it to `z[i][j]`, with the signs of the two weights.
//!
//! What doubles can do: a conductance taken away (y < 0) costs digits by the factor 1 + z y, so a branch behind
//! which there is only insulation is better opened by a new factorisation. A short on a part that hangs on
//! insulation is right to about 1e-15 of that insulation's resistance. Both are held by tests.

/// Up to four weighted nodes: a node, a pair, or a point part of the way along a branch against another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Port {
    weights: [(usize, f64); 4],
    count: usize,
}

impl Port {
    /// Between two nodes.
    pub fn between(a: usize, b: usize) -> Self {
        Self {
            weights: [(a, 1.0), (b, -1.0), (0, 0.0), (0, 0.0)],
            count: 2,
        }
    }

    /// From the point at fraction `x` of the branch `a`–`b` to `to`. With the branch's resistance r, the
    /// resistance x (1 − x) r stands in series with whatever is attached there (exact).
    pub fn along(a: usize, b: usize, x: f64, to: usize) -> Self {
        Self {
            weights: [(a, 1.0 - x), (b, x), (to, -1.0), (0, 0.0)],
            count: 3,
        }
    }

    /// Between points at fractions of two branches.
    pub fn along_both(one: (usize, usize, f64), two: (usize, usize, f64)) -> Self {
        Self {
            weights: [
                (one.0, 1.0 - one.2),
                (one.1, one.2),
                (two.0, two.2 - 1.0),
                (two.1, -two.2),
            ],
            count: 4,
        }
    }

    /// Ohms that two places on one branch share beyond what the transfer resistances of its nodes say: x (1 − y) r for
    /// x ≤ y, 0 for anything else. `ohms` gives the resistance of the branch between two nodes.
    pub fn shared(&self, other: &Self, ohms: impl Fn(usize, usize) -> Option<f64>) -> f64 {
        let ([(a, _), (b, one), _], [(c, _), (d, two), _]) = (self.weights(), other.weights())
        else {
            return 0.0;
        };
        if (a, b) != (c, d) {
            return 0.0;
        }
        ohms(*a, *b).map_or(0.0, |r| one.min(*two) * (1.0 - one.max(*two)) * r)
    }

    /// The weighted nodes.
    pub fn weights(&self) -> &[(usize, f64)] {
        &self.weights[..self.count]
    }

    /// Voltage across the port.
    pub fn of(&self, volts: &[f64]) -> f64 {
        self.weights()
            .iter()
            .map(|&(node, weight)| weight * volts[node])
            .sum()
    }
}

/// Most ports that can be coupled at once.
pub const PORTS: usize = 6;

/// Port voltages u of elements that draw currents y u − j: solves (I + Z Y) u = u₀ + Z j.
#[derive(Clone, Copy, Debug)]
pub struct SmallSystem {
    count: usize,
    factor: [[f64; PORTS]; PORTS],
    pivot: [usize; PORTS],
}

impl SmallSystem {
    /// A system without ports.
    pub fn nothing() -> Self {
        Self {
            count: 0,
            factor: [[0.0; PORTS]; PORTS],
            pivot: [0; PORTS],
        }
    }

    /// Factorises I + Z Y by Gaussian elimination with row exchange. `z[i][j]`: transfer resistance, `y[j]`:
    /// conductance of the element at port j (may be negative). `None` when singular.
    pub fn new(count: usize, z: &[[f64; PORTS]; PORTS], y: &[f64; PORTS]) -> Option<Self> {
        let mut system = Self::nothing();
        system.set(count, z, y).then_some(system)
    }

    /// The same in the place of another system; false when singular.
    pub fn set(&mut self, count: usize, z: &[[f64; PORTS]; PORTS], y: &[f64; PORTS]) -> bool {
        let regular = match count {
            0 => true,
            1 => self.factorise::<1>(z, y),
            2 => self.factorise::<2>(z, y),
            3 => self.factorise::<3>(z, y),
            4 => self.factorise::<4>(z, y),
            5 => self.factorise::<5>(z, y),
            _ => self.factorise::<PORTS>(z, y),
        };
        self.count = if regular { count.min(PORTS) } else { 0 };
        regular
    }

    /// The number of ports is known when this is compiled: a system of two or three is a few lines then, and no loops.
    #[allow(
        clippy::needless_range_loop,
        reason = "formulas with row and column, unrolled"
    )]
    fn factorise<const N: usize>(&mut self, z: &[[f64; PORTS]; PORTS], y: &[f64; PORTS]) -> bool {
        let m = &mut self.factor;
        for i in 0..N {
            for j in 0..N {
                m[i][j] = z[i][j] * y[j];
            }
            m[i][i] += 1.0;
        }
        for k in 0..N {
            let mut best = k;
            for i in k + 1..N {
                if m[i][k].abs() > m[best][k].abs() {
                    best = i;
                }
            }
            self.pivot[k] = best;
            if best != k {
                m.swap(k, best);
            }
            if m[k][k] == 0.0 || !m[k][k].is_finite() {
                return false;
            }
            for i in k + 1..N {
                let factor = m[i][k] / m[k][k];
                m[i][k] = factor;
                for j in k + 1..N {
                    m[i][j] -= factor * m[k][j];
                }
            }
        }
        true
    }

    /// Solves for a right-hand side.
    pub fn solve(&self, rhs: &mut [f64; PORTS]) {
        match self.count {
            0 => {}
            1 => self.substitute::<1>(rhs),
            2 => self.substitute::<2>(rhs),
            3 => self.substitute::<3>(rhs),
            4 => self.substitute::<4>(rhs),
            5 => self.substitute::<5>(rhs),
            _ => self.substitute::<PORTS>(rhs),
        }
    }

    #[allow(
        clippy::needless_range_loop,
        reason = "formulas with row and column, unrolled"
    )]
    fn substitute<const N: usize>(&self, rhs: &mut [f64; PORTS]) {
        for (k, &with) in self.pivot.iter().enumerate().take(N) {
            rhs.swap(k, with);
        }
        for k in 0..N {
            for i in k + 1..N {
                rhs[i] -= self.factor[i][k] * rhs[k];
            }
        }
        for k in (0..N).rev() {
            for j in k + 1..N {
                rhs[k] -= self.factor[k][j] * rhs[j];
            }
            rhs[k] /= self.factor[k][k];
        }
    }
}
