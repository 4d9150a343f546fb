//! States and readings, numbered.

use std::collections::BTreeMap;

use super::{Flow, LEAK, LEAST_OHM, Measured, Model, PARTED, Quantity, Role, Stand, Told};
use crate::{
    circuit::{Circuit, LoadModel, MOST_SUPPLIES, Point, Terminal},
    network::Port,
    quantity::units::as_ohms,
    reading::{
        Kind, Meter, Reading, SIGNS, Seen, State, Value,
        meter::{MOST_OHM, rectangular_sd},
    },
};

/// Volts that count as a difference where a lamp or a module is watched.
const SEEN_SD: f64 = 0.2;
/// Half-widths of the allowance for readings of which too many connectors are not known (judgement).
const BROAD_OHM: f64 = 1e6;
const BROAD_AMPERE: f64 = 1.0;

/// Ohms below which a meter that was zeroed on its leads does not come (judgement).
pub const NEGATIVE_OHM: f64 = -0.5;

/// More than any hand-held meter shows, V, Ω or A (judgement). A value beyond it is a slip, and as an unsteady one it
/// would be so broad that it weighed nothing and counted for something.
pub fn most_shown(kind: Kind) -> f64 {
    match kind {
        Kind::Ohms => 1e10,
        Kind::Volts | Kind::Amperes | Kind::Clamp | Kind::Lamp(_) | Kind::Scan => 1e4,
    }
}

impl Model {
    pub(super) fn stand(
        &mut self,
        circuit: &Circuit,
        state: &State,
        attached: &[(usize, usize)],
        off: bool,
        leak: f64,
    ) -> usize {
        let mut siemens: Vec<f64> = self
            .elements
            .iter()
            .map(|element| match element.role {
                Role::Pin(c, _) if state.unplugged.contains(&circuit.connectors[c].id) => PARTED,
                Role::Load(l)
                    if matches!(circuit.loads[l].model, LoadModel::Electronic { .. }) && !off =>
                {
                    0.0
                }
                Role::Load(l) if off && circuit.loads[l].blocks_ohmmeter => 0.0,
                _ => element.siemens,
            })
            .collect();
        siemens.extend(
            self.sources
                .iter()
                .enumerate()
                // One that is not solved for gives nothing and takes nothing.
                .map(|(i, s)| match off || i >= MOST_SUPPLIES {
                    true => 1e-9,
                    false => 1.0 / s.ohms.0,
                }),
        );
        siemens.extend((0..self.pattern.nodes).map(|_| leak));
        siemens.extend(attached.iter().map(|pair| {
            state
                .attached
                .iter()
                .filter(|load| {
                    self.nodes.get(&load.from) == Some(&pair.0)
                        && self.nodes.get(&load.to) == Some(&pair.1)
                })
                .map(|load| 1.0 / as_ohms(load.resistance).max(LEAST_OHM))
                .sum::<f64>()
        }));
        let stand = Stand { siemens, off };
        if let Some(same) = self.stands.iter().position(|other| *other == stand) {
            return same;
        }
        self.stands.push(stand);
        self.stands.len() - 1
    }

    pub(super) fn measure(
        &mut self,
        circuit: &Circuit,
        meter: &Meter,
        entry: usize,
        reading: &Reading,
        attached: &[(usize, usize)],
        gains: &mut BTreeMap<(u8, usize), usize>,
    ) -> Result<Measured, String> {
        let node = |point: &Point| {
            self.nodes
                .get(point)
                .copied()
                .ok_or_else(|| format!("{point} is not on the sketch"))
        };
        let (value, mut told, width) = displayed(meter, reading)?;
        if reading.red == reading.black {
            return Err(format!("both leads are at {}", reading.red.shown()));
        }
        let (red, black) = (node(&reading.red)?, node(&reading.black)?);
        let port = Port::between(red, black);
        let noted = reading.noted_to().unwrap_or(0.0);
        // What was noted with fewer digits than the display has is no better than those digits.
        let display = |band: f64, step: f64| {
            let (band, step) = (band.max(noted), step.max(noted));
            (band * band / 3.0 + step * step / 12.0 + width * width / 12.0).sqrt()
        };
        let step = meter.step(reading.kind, value);
        let counts = display(meter.counts * step, step);
        let relative = rectangular_sd(meter.share(reading.kind));
        let (what, mut sd, range, relative, loading) = match reading.kind {
            Kind::Volts => {
                let loading = 1.0 / as_ohms(meter.input).max(1.0);
                let range = (0, meter.range_of(value));
                (Quantity::Volts(port), counts, range, relative, loading)
            }
            Kind::Ohms => {
                let what = Quantity::Ohms(port, as_ohms(meter.lead));
                (what, counts, (1, 0), relative, 0.0)
            }
            Kind::Amperes => {
                let what = self.through(circuit, reading)?;
                (what, counts, (2, 0), relative, 0.0)
            }
            Kind::Clamp => {
                let what = self.through(circuit, reading)?;
                let sd = display(meter.clamp.zero_a, 0.0);
                (what, sd, (3, 0), relative, 0.0)
            }
            Kind::Lamp(_) | Kind::Scan => {
                told = seen(reading, self.nominal())?;
                (Quantity::Volts(port), SEEN_SD, (4, 0), 0.0, 0.0)
            }
        };
        if matches!(reading.value, Value::Seen(_)) && reading.kind.seen().is_empty() {
            return Err(
                "a number is read here; what is seen belongs to a lamp or a scan".to_owned(),
            );
        }
        if !reading.state.unknown.is_empty() {
            // Too many to follow: anything between what an open and a closed connector would give.
            if told != Told::Number {
                return Err("nobody noted which connectors were plugged".to_owned());
            }
            sd = sd.hypot(rectangular_sd(match reading.kind {
                Kind::Ohms => value.abs().max(BROAD_OHM),
                Kind::Amperes | Kind::Clamp => value.abs().max(BROAD_AMPERE),
                Kind::Volts | Kind::Lamp(_) | Kind::Scan => self.most_volts,
            }));
        }
        let next = gains.len();
        let gain = *gains.entry(range).or_insert(next);
        let off = reading.state.supply_off || reading.kind == Kind::Ohms;
        let stand = self.stand(circuit, &reading.stood(), attached, off, LEAK);
        Ok(Measured {
            entry,
            stand,
            what,
            value,
            sd,
            gain: (relative, gain),
            over: told != Told::Number,
            told,
            key: reading.state.key_cycled,
            repairs: self.repairs.len(),
            loading,
        })
    }

    fn nominal(&self) -> f64 {
        self.sources
            .first()
            .map_or(self.most_volts, |source| source.volts.0)
    }

    /// Where a current is read: in the wire, pin or fuse between the two points, at its red end; without a second
    /// point, out of the supply or through the pin that red names.
    fn through(&self, circuit: &Circuit, reading: &Reading) -> Result<Quantity, String> {
        let (red, black) = (&reading.red, &reading.black);
        let ends = (self.nodes.get(red), self.nodes.get(black));
        if let (Some(&red), Some(&black)) = ends {
            let conducts = |role| {
                matches!(
                    role,
                    Role::Wire(_) | Role::Pin(..) | Role::Fuse(_) | Role::Strap(_)
                )
            };
            let between = self.elements.iter().position(|e| {
                conducts(e.role) && ((e.a, e.b) == (red, black) || (e.b, e.a) == (red, black))
            });
            if let Some(element) = between {
                let at_a = self.elements[element].a == red;
                return Ok(Quantity::Through(Flow {
                    element,
                    at_a,
                    sign: if at_a { 1.0 } else { -1.0 },
                }));
            }
        }
        if let Some(index) = circuit.supplies.iter().position(|s| s.id == red.part) {
            return Ok(Quantity::Output(index));
        }
        let (Terminal::Near(pin) | Terminal::Far(pin)) = red.terminal else {
            return Err(format!(
                "no wire joins {red} and {black}: give both ends of the wire in which the current is read"
            ));
        };
        let pin = usize::from(pin) - 1;
        self.elements
            .iter()
            .position(|e| matches!(e.role, Role::Pin(c, p) if circuit.connectors[c].id == red.part && p == pin))
            .map(|element| {
                Quantity::Through(Flow {
                    element,
                    at_a: true,
                    sign: 1.0,
                })
            })
            .ok_or_else(|| format!("{red} is not on the sketch"))
    }
}

/// What a display showed as a number, what that tells, and how far it wandered; why it cannot be used, where it cannot.
fn displayed(meter: &Meter, reading: &Reading) -> Result<(f64, Told, f64), String> {
    let (value, told, width) = match reading.value {
        Value::Exactly(value) => (value, Told::Number, 0.0),
        Value::Between(low, high) => (0.5 * (low + high), Told::Number, (high - low).abs()),
        Value::OverRange { above } => {
            let top = meter.ranges.last().map_or(60.0, |range| range.top);
            let usual = if reading.kind == Kind::Ohms {
                MOST_OHM
            } else {
                top
            };
            (above.unwrap_or(usual), Told::Above, 0.0)
        }
        Value::Seen(_) => (0.0, Told::Number, 0.0),
    };
    if !value.is_finite() {
        return Err("its value is not a number".to_owned());
    }
    if value.abs().max(width) > most_shown(reading.kind) {
        return Err(
            "no meter shows such a value; check the number and its unit, or set it aside"
                .to_owned(),
        );
    }
    if reading.kind == Kind::Ohms && value < NEGATIVE_OHM {
        return Err(
            "a negative resistance means that the circuit was live; ohms are read with the supply off, \
             the battery disconnected and the modules asleep"
                .to_owned(),
        );
    }
    Ok((value, told, width))
}

/// What was seen as thresholds of the volts between the two points.
fn seen(reading: &Reading, nominal: f64) -> Result<Told, String> {
    let Value::Seen(seen) = reading.value else {
        let words: Vec<&str> = reading.kind.seen().iter().map(|s| s.word()).collect();
        return Err(format!("it shows no number, but {}", words.join(" or ")));
    };
    match (reading.kind, seen) {
        (Kind::Lamp(lamp), Seen::Lit | Seen::Dim | Seen::Dark) => {
            let glow = lamp.glow();
            let (low, high) = match seen {
                Seen::Lit => (Some(glow.lit_from), None),
                Seen::Dim => (Some(glow.dim_from), Some(glow.lit_from)),
                _ => (None, Some(glow.dim_from)),
            };
            Ok(Told::Within {
                low,
                high,
                doubt: glow.doubt,
                luck: 1.0 / 3.0,
            })
        }
        (Kind::Scan, Seen::Answers | Seen::Silent) => {
            let scan = &SIGNS.scan;
            let from = (scan.works_from.0 * nominal, scan.works_from.1 * nominal);
            let answers = seen == Seen::Answers;
            Ok(Told::Within {
                low: answers.then_some(from),
                high: (!answers).then_some(from),
                doubt: if answers {
                    scan.answers_doubt
                } else {
                    scan.silent_doubt
                },
                luck: if answers { 0.5 } else { 1.0 },
            })
        }
        _ => Err(format!("“{}” is not what can be seen here", seen.word())),
    }
}
