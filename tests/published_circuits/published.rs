//! The one helper: a published circuit as data, its solution, and the comparison.

use std::collections::BTreeMap;

use pinchpoint::network::{Branch, Factor, Pattern, Port};

/// Ohms of a source that the published circuit draws as ideal and without any series resistor.
pub const STIFF: f64 = 1e-6;

/// How far the numbers were seen.
#[derive(Clone, Copy, Debug)]
pub enum Provenance {
    /// Read in a copy of the source's text.
    Read,
    /// Read in a figure or table of the source.
    Figure,
    /// Inputs read, answer calculated.
    InputsRead,
    /// Calculated from stated inputs; the source names the independent oracle.
    Derived,
}

/// One element. Node "0" is the reference.
pub struct Part {
    name: &'static str,
    from: &'static str,
    to: &'static str,
    kind: Kind,
}

enum Kind {
    /// Volts of rise from `from` to `to`, behind ohms (0 V: a plain resistor).
    Source { volts: f64, ohms: f64 },
    /// Amperes driven from `from` to `to`.
    Current(f64),
}

/// A resistor.
pub fn r(name: &'static str, from: &'static str, to: &'static str, ohms: f64) -> Part {
    emf(name, from, to, 0.0, ohms)
}

/// A source together with the resistor in series with it; the name is the resistor's.
pub fn emf(
    name: &'static str,
    from: &'static str,
    to: &'static str,
    volts: f64,
    ohms: f64,
) -> Part {
    let kind = Kind::Source { volts, ohms };
    Part {
        name,
        from,
        to,
        kind,
    }
}

/// A load or source of fixed current.
pub fn current(name: &'static str, from: &'static str, to: &'static str, amperes: f64) -> Part {
    let kind = Kind::Current(amperes);
    Part {
        name,
        from,
        to,
        kind,
    }
}

/// What the source states about the circuit.
#[derive(Clone, Debug)]
pub enum Ask {
    /// Volts at one node against another.
    Volts(&'static str, &'static str),
    /// Volts across a resistor (the one in series with a source: without the source), in its from-to direction.
    Drop(&'static str),
    /// Amperes through a part in its from-to direction.
    Amps(&'static str),
    /// Watts turned into heat in a resistor.
    Heat(&'static str),
    /// Watts that a source delivers.
    Delivers(&'static str),
    /// Watts that all sources deliver, which is what all resistors turn into heat.
    AllDeliver,
    /// Watts that all resistors turn into heat.
    AllHeat,
    /// Amperes that the copies of one source deliver together.
    Together(&'static [&'static str]),
    /// Ohms that a source (given by its copies) sees.
    Sees(&'static [&'static str]),
    /// Ohms between two nodes with all sources at rest.
    Between(&'static str, &'static str),
}

/// A published value.
#[derive(Clone, Copy, Debug)]
pub struct Expected {
    value: f64,
    tolerance: f64,
}

/// A value that is exact in the source.
pub fn exact(value: f64) -> Expected {
    within(value, 1e-9 * value.abs())
}

/// A value with a tolerance of its own.
pub fn within(value: f64, tolerance: f64) -> Expected {
    Expected { value, tolerance }
}

/// A rounded value as printed: right to half of its last digit.
pub fn printed(text: &str) -> Expected {
    let value: f64 = text.parse().expect("a number");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((text, "0"));
    let decimals = mantissa
        .split_once('.')
        .map_or(0, |(_, after)| after.len() as i32);
    let exponent: i32 = exponent.parse().expect("an exponent");
    // A little over a half, so that a tie rounded either way passes.
    within(value, 0.5001 * 10f64.powi(exponent - decimals))
}

/// A circuit and what is published about it.
pub struct Published {
    pub id: &'static str,
    pub source: &'static str,
    pub provenance: Provenance,
    pub parts: Vec<Part>,
    pub expect: Vec<(Ask, Expected)>,
}

/// A solved circuit.
pub struct Solved<'c> {
    parts: &'c [Part],
    nodes: BTreeMap<&'static str, usize>,
    pattern: Pattern,
    siemens: Vec<f64>,
    volts: Vec<f64>,
}

impl<'c> Solved<'c> {
    pub fn new(parts: &'c [Part]) -> Self {
        let mut nodes = BTreeMap::new();
        for name in parts.iter().flat_map(|part| [part.from, part.to]) {
            let next = nodes.len();
            if name != "0" {
                nodes.entry(name).or_insert(next);
            }
        }
        let ground = nodes.len();
        nodes.insert("0", ground);
        let mut amperes = vec![0.0; ground + 1];
        let (mut branches, mut siemens) = (Vec::new(), Vec::new());
        for part in parts {
            let (a, b) = (nodes[part.from], nodes[part.to]);
            let driven = match part.kind {
                Kind::Source { volts, ohms } => {
                    branches.push(Branch { a, b });
                    siemens.push(1.0 / ohms);
                    volts / ohms
                }
                Kind::Current(driven) => driven,
            };
            amperes[a] -= driven;
            amperes[b] += driven;
        }
        let pattern = Pattern::new(ground, branches);
        let factor = Factor::new(&pattern, &siemens).expect("nothing floats");
        factor.solve(&mut amperes);
        Self {
            parts,
            nodes,
            pattern,
            siemens,
            volts: amperes,
        }
    }

    fn part(&self, name: &str) -> &Part {
        let mut found = self.parts.iter().filter(|part| part.name == name);
        let part = found.next().expect("a part of that name");
        assert!(found.next().is_none(), "two parts named {name}");
        part
    }

    fn amps(&self, part: &Part) -> f64 {
        match part.kind {
            Kind::Source { volts, ohms } => {
                let from = self.volts[self.nodes[part.from]];
                (from + volts - self.volts[self.nodes[part.to]]) / ohms
            }
            Kind::Current(driven) => driven,
        }
    }

    fn heat(&self, part: &Part) -> f64 {
        match part.kind {
            Kind::Source { ohms, .. } => self.amps(part).powi(2) * ohms,
            Kind::Current(_) => 0.0,
        }
    }

    fn delivers(&self, part: &Part) -> f64 {
        match part.kind {
            Kind::Source { volts, .. } => volts * self.amps(part),
            Kind::Current(driven) => {
                driven * (self.volts[self.nodes[part.to]] - self.volts[self.nodes[part.from]])
            }
        }
    }

    pub fn answer(&self, ask: &Ask) -> f64 {
        let together =
            |names: &[&str]| -> f64 { names.iter().map(|name| self.amps(self.part(name))).sum() };
        match *ask {
            Ask::Volts(at, against) => self.volts[self.nodes[at]] - self.volts[self.nodes[against]],
            Ask::Drop(name) => {
                let part = self.part(name);
                let Kind::Source { ohms, .. } = part.kind else {
                    panic!("{name} has no resistance")
                };
                self.amps(part) * ohms
            }
            Ask::Amps(name) => self.amps(self.part(name)),
            Ask::Heat(name) => self.heat(self.part(name)),
            Ask::Delivers(name) => self.delivers(self.part(name)),
            Ask::AllDeliver => self.parts.iter().map(|part| self.delivers(part)).sum(),
            Ask::AllHeat => self.parts.iter().map(|part| self.heat(part)).sum(),
            Ask::Together(names) => together(names),
            Ask::Sees(names) => {
                let Kind::Source { volts, .. } = self.part(names[0]).kind else {
                    panic!("{} is no source", names[0])
                };
                volts / together(names)
            }
            Ask::Between(a, b) => {
                let factor = Factor::new(&self.pattern, &self.siemens).expect("nothing floats");
                let port = Port::between(self.nodes[a], self.nodes[b]);
                port.of(&factor.column(&port))
            }
        }
    }
}

/// Solves every case and lists all answers that differ from the published ones.
pub fn check(cases: &[Published]) {
    let mut wrong = Vec::new();
    for case in cases {
        let solved = Solved::new(&case.parts);
        assert!(!case.expect.is_empty(), "{} expects nothing", case.id);
        for (ask, expected) in &case.expect {
            let answer = solved.answer(ask);
            let off = (answer - expected.value).abs();
            if off.is_nan() || off > expected.tolerance {
                wrong.push(format!(
                    "{} {ask:?}: {answer} instead of {} +/- {} ({:?} in {})",
                    case.id, expected.value, expected.tolerance, case.provenance, case.source
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
