//! States and readings, numbered.

use std::collections::BTreeMap;

use super::{LEAK, LEAST_OHM, Measured, Model, PARTED, Quantity, Role, Stand};
use crate::{
    circuit::{Circuit, LoadModel, Point, Terminal},
    network::Port,
    quantity::units::as_ohms,
    reading::{Kind, Meter, Reading, State, Value},
};

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
                .map(|s| if off { 1e-9 } else { 1.0 / s.ohms.0 }),
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
        if let Some(unknown) = reading.state.unknown.iter().next() {
            return Err(format!("nobody noted whether {unknown} was plugged"));
        }
        let (value, over, width) = match reading.value {
            Value::Exactly(value) => (value, false, 0.0),
            Value::Between(low, high) => (0.5 * (low + high), false, (high - low).abs()),
            Value::OverRange { above } => {
                let top = meter.ranges.last().map_or(60.0, |range| range.top);
                (
                    above.unwrap_or(if reading.kind == Kind::Ohms {
                        40e6
                    } else {
                        top
                    }),
                    true,
                    0.0,
                )
            }
        };
        if !value.is_finite() {
            return Err("its value is not a number".to_owned());
        }
        let (red, black) = (node(&reading.red)?, node(&reading.black)?);
        let port = Port::between(red, black);
        let noted = reading.noted_to().unwrap_or(0.0);
        let counts = |step: f64| {
            // What was noted with fewer digits than the display has is no better than those digits.
            let spec = (meter.counts * step).max(noted);
            let step = step.max(noted);
            (spec * spec / 3.0 + step * step / 12.0 + width * width / 12.0).sqrt()
        };
        let relative = meter.percent / 100.0 / 3f64.sqrt();
        let decade_step = 10f64.powf(value.abs().max(1e-4).log10().floor() - 3.0);
        let (what, sd, range, relative, loading) = match reading.kind {
            Kind::Volts => {
                let range = meter.range_of(value);
                let step = meter.ranges.get(range).map_or(0.001, |r| r.step);
                (
                    Quantity::Volts(port),
                    counts(step),
                    (0, range),
                    relative,
                    1.0 / as_ohms(meter.input).max(1.0),
                )
            }
            Kind::Ohms => {
                let step = decade_step.max(0.1);
                (
                    Quantity::Ohms(port, as_ohms(meter.lead)),
                    counts(step),
                    (1, 0),
                    relative * 2.0,
                    0.0,
                )
            }
            Kind::Amperes => {
                let sd = counts(decade_step.max(1e-5));
                (
                    self.through(circuit, &reading.red)?,
                    sd,
                    (2, 0),
                    relative * 2.0,
                    0.0,
                )
            }
        };
        let next = gains.len();
        let gain = *gains.entry(range).or_insert(next);
        let off = reading.state.supply_off || reading.kind == Kind::Ohms;
        let stand = self.stand(circuit, &reading.state, attached, off, LEAK);
        Ok(Measured {
            entry,
            stand,
            what,
            value,
            sd,
            gain: (relative, gain),
            over,
            repairs: self.repairs.len(),
            loading,
        })
    }

    pub(super) fn through(&self, circuit: &Circuit, red: &Point) -> Result<Quantity, String> {
        if let Some(index) = circuit.supplies.iter().position(|s| s.id == red.part) {
            return Ok(Quantity::Output(index));
        }
        let pin = match red.terminal {
            Terminal::Near(pin) | Terminal::Far(pin) => usize::from(pin) - 1,
            _ => {
                return Err(format!(
                    "current can be read at a supply or a connector pin, not at {red}"
                ));
            }
        };
        self.elements
            .iter()
            .position(|e| matches!(e.role, Role::Pin(c, p) if circuit.connectors[c].id == red.part && p == pin))
            .map(Quantity::Through)
            .ok_or_else(|| format!("{red} is not on the sketch"))
    }
}
