//! Where supplies and electronic loads come to rest together.
//!
//! A supply is a line (volts behind a resistance) cut off by a limit that may fall with the output volts; a load is a
//! resistance up to its knee and a constant current above. Coming up from 0 V, the output rests where what it can give
//! first meets what is drawn. Loads bend downwards, so taking all of them below their knee overestimates what is
//! drawn: letting each pass its knee only when it must approaches that first meeting from below.

use super::{
    mesh::{GROUND, Mesh},
    truth::TrueSupply,
    wiring::Wiring,
};

/// How a supply works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Volts behind a resistance.
    Held,
    /// At its limit.
    Limited,
    /// Pushed above its volts, and unable to take current back.
    Pushed,
    /// Off, dead, or latched off.
    Off,
}

/// A supply in place.
#[derive(Clone, Copy, Debug)]
pub struct Output {
    /// What it is.
    pub is: TrueSupply,
    /// Whether it takes current back.
    pub sinks: bool,
    /// Whether it gives nothing.
    pub off: bool,
}

/// A circuit at rest.
#[derive(Clone, Debug)]
pub struct Rest {
    /// Voltage of every node to ground.
    pub volts: Vec<f64>,
    /// Regime of every supply.
    pub regimes: Vec<Regime>,
    /// Current out of every supply, A.
    pub amperes: Vec<f64>,
}

/// Rounds over several supplies before the last one is taken as it is.
const ROUNDS: usize = 30;

/// Brings everything to rest. `was` is how each supply worked before: what was up stays up while it can, everything
/// else comes up from nothing.
pub fn settle(wiring: &Wiring, outputs: &[Output], was: &[Regime]) -> Rest {
    let start = |(index, output): (usize, &Output)| match was.get(index) {
        _ if output.off => Regime::Off,
        Some(Regime::Held | Regime::Pushed) => Regime::Held,
        _ => Regime::Limited,
    };
    let up: Vec<bool> = (was.iter())
        .map(|regime| matches!(regime, Regime::Held | Regime::Pushed))
        .collect();
    let mut field = Field {
        wiring,
        outputs,
        regimes: outputs.iter().enumerate().map(start).collect(),
        amperes: outputs
            .iter()
            .map(|output| output.is.short_circuit)
            .collect(),
    };
    let mut volts = None;
    for _ in 0..ROUNDS {
        let before = (field.regimes.clone(), field.amperes.clone());
        for index in 0..outputs.len() {
            let stays_up = up.get(index).copied().unwrap_or(false);
            volts = Some(field.turn(index, stays_up));
        }
        let near = |(now, was): (&f64, &f64)| (now - was).abs() <= 1e-12 + 1e-9 * was.abs();
        let quiet = field.amperes.iter().zip(&before.1).all(near);
        if outputs.len() < 2 || (field.regimes == before.0 && quiet) {
            break;
        }
    }
    let volts = volts.unwrap_or_else(|| field.loads_at_rest(None));
    Rest {
        amperes: field.amperes,
        regimes: field.regimes,
        volts,
    }
}

struct Field<'a> {
    wiring: &'a Wiring,
    outputs: &'a [Output],
    regimes: Vec<Regime>,
    amperes: Vec<f64>,
}

impl Field<'_> {
    /// Finds how one supply works while the others stay as they are; gives the voltages.
    fn turn(&mut self, index: usize, stays_up: bool) -> Vec<f64> {
        let output = self.outputs[index];
        if output.off {
            (self.regimes[index], self.amperes[index]) = (Regime::Off, 0.0);
            return self.loads_at_rest(None);
        }
        let is = output.is;
        let across = |volts: &[f64], field: &Self| {
            let (feed, ret) = field.wiring.supplies[index];
            volts[feed] - volts[ret]
        };
        let give = |volts: f64| (is.volts - volts) / is.ohms;
        if !stays_up && let Some(volts) = self.limited(index) {
            let out = across(&volts, self);
            if is.limit_at(out) <= give(out) {
                (self.regimes[index], self.amperes[index]) = (Regime::Limited, is.limit_at(out));
                return volts;
            }
        }
        self.regimes[index] = Regime::Held;
        let volts = self.loads_at_rest(None);
        let out = across(&volts, self);
        self.amperes[index] = give(out);
        if give(out) > is.limit_at(out)
            && let Some(volts) = self.limited(index)
        {
            let out = across(&volts, self);
            (self.regimes[index], self.amperes[index]) = (Regime::Limited, is.limit_at(out));
            return volts;
        }
        if give(out) < 0.0 && !output.sinks {
            (self.regimes[index], self.amperes[index]) = (Regime::Pushed, 0.0);
            return self.loads_at_rest(None);
        }
        volts
    }

    /// Voltages with one supply at its limit; none where it runs up beyond every bound.
    fn limited(&mut self, index: usize) -> Option<Vec<f64>> {
        if !self.outputs[index].is.limit.is_finite() {
            return None;
        }
        self.regimes[index] = Regime::Limited;
        let volts = self.loads_at_rest(Some(index));
        let (feed, ret) = self.wiring.supplies[index];
        // Twice the nominal volts is more than a limit can bring about where the supply holds its volts.
        let out = volts[feed] - volts[ret];
        (out.is_finite() && out.abs() < 1e6).then_some(volts)
    }

    /// Lets the loads pass their knees one after the other, from below. The supply `own` is at its limit with its
    /// slope; the others that are limited keep the current they have.
    fn loads_at_rest(&self, own: Option<usize>) -> Vec<f64> {
        let draws = &self.wiring.draws;
        let mut above = vec![false; draws.len()];
        loop {
            let mut mesh = self.wiring.mesh.clone();
            for (draw, &above) in draws.iter().zip(&above) {
                if above {
                    mesh.drive(draw.feed, draw.ret, draw.amperes);
                } else {
                    mesh.join(draw.feed, draw.ret, draw.amperes / draw.knee);
                }
            }
            let volts = self.with_supplies(mesh, own);
            let mut passed = false;
            for (draw, above) in draws.iter().zip(&mut above) {
                if !*above && volts[draw.feed] - volts[draw.ret] > draw.knee {
                    *above = true;
                    passed = true;
                }
            }
            if !passed {
                return volts;
            }
        }
    }

    fn with_supplies(&self, mut mesh: Mesh, own: Option<usize>) -> Vec<f64> {
        for (index, output) in self.outputs.iter().enumerate() {
            let (feed, ret) = self.wiring.supplies[index];
            match self.regimes[index] {
                Regime::Held => {
                    mesh.join(feed, ret, 1.0 / output.is.ohms);
                    mesh.drive(ret, feed, output.is.volts / output.is.ohms);
                }
                Regime::Limited if own != Some(index) => {
                    mesh.drive(ret, feed, self.amperes[index]);
                }
                Regime::Limited | Regime::Pushed | Regime::Off => {}
            }
        }
        let Some(own) = own else {
            return mesh.solve(&[]).swap_remove(0);
        };
        let (feed, ret) = self.wiring.supplies[own];
        let is = self.outputs[own].is;
        let mut sides = mesh.solve(&[(ret, feed)]);
        let (per_ampere, mut volts) = (sides.swap_remove(1), sides.swap_remove(0));
        let seen = per_ampere[feed] - per_ampere[ret];
        let alone = volts[feed] - volts[ret];
        // v = alone + seen · (short-circuit current + slope · v).
        let left = 1.0 - is.slope() * seen;
        let amperes = if left > 0.0 {
            is.short_circuit + is.slope() * (alone + seen * is.short_circuit) / left
        } else {
            // The limit rises faster than what is drawn: it runs up until the supply holds its volts.
            f64::INFINITY
        };
        for (volt, per) in volts.iter_mut().zip(&per_ampere) {
            *volt += if amperes.is_finite() {
                amperes * per
            } else {
                f64::INFINITY
            };
        }
        volts[GROUND] = 0.0;
        volts
    }
}
