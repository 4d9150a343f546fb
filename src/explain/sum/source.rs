//! Supplies and loads that do less than they should, and a sound circuit.

use super::{
    SLIGHT, Story, amperes,
    figures::{difference, product, quotient, three},
    of_ohms, volts,
};
use crate::{
    circuit::{
        LoadModel,
        tree::{FeedTree, Side},
    },
    fault::FaultKind,
    infer::solve::{Effect, Regime},
    quantity::{
        Unit,
        units::{as_amperes, as_volts},
    },
    reading::Kind,
};

impl Story<'_> {
    /// The first supply's sum with nothing wrong.
    pub(super) fn tell_healthy(&mut self) {
        let source = self.source_of_reading();
        self.tell_output(source, "gives");
        self.end_of_healthy(source);
    }

    /// The supply at whose pin the reading was taken, else the first.
    fn source_of_reading(&self) -> usize {
        let part = self.reading.map(|(_, reading)| reading.red.part.as_str());
        self.question
            .circuit
            .supplies
            .iter()
            .position(|supply| Some(supply.id.as_str()) == part)
            .filter(|&source| source < self.with.sources())
            .unwrap_or(0)
    }

    fn tell_output(&mut self, source: usize, verb: &str) {
        let name = self.supply(source);
        let (open, behind) = self.with.behind(source);
        let (output, pin) = (self.with.output(source), self.with.pin(source));
        match self.with.regime(source) {
            Regime::Thevenin => {
                self.say(format!(
                    "{name} {verb} {} behind {}.",
                    three(volts(open)),
                    three(of_ohms(behind))
                ));
                let inside = output * behind;
                if inside.abs() < 1e-5 {
                    self.say(format!(
                        "Next to nothing is taken, so all of it stands at its pin: {}.",
                        three(volts(pin))
                    ));
                } else if output > 0.0 {
                    let taken = three(amperes(output));
                    self.sum(
                        &format!("{taken} is taken: "),
                        product(amperes(output), of_ohms(behind), Unit::Volts),
                        " is lost inside it.",
                    );
                    self.sum("", difference(open, inside, Unit::Volts), " at its pin.");
                } else {
                    let back = three(amperes(-output));
                    self.say(format!(
                        "{back} flows back into it: {} at its pin.",
                        three(volts(pin))
                    ));
                }
            }
            Regime::Limited => {
                let assumed = match self.assumed_limit(source) {
                    Some(_) => ", which is assumed",
                    None => "",
                };
                self.say(format!(
                    "{name} is at its limit{assumed}: {} leaves it at {}.",
                    three(amperes(output)),
                    three(volts(pin))
                ));
                self.sum(
                    "",
                    quotient(volts(pin), amperes(output), Unit::Ohms),
                    " is what the circuit amounts to from its pin.",
                );
            }
            Regime::Blocked => self.say(format!(
                "{name} cannot take current back, so it gives nothing: {} at its pin.",
                three(volts(pin))
            )),
            Regime::Off => self.say(format!("{name} is off: {} at its pin.", three(volts(pin)))),
        }
    }

    /// From the pin to the reading's point.
    fn end_of_healthy(&mut self, source: usize) {
        let Some((_, reading)) = self.reading else {
            return;
        };
        if reading.kind != Kind::Volts || !reading.black.is_battery_negative() {
            return;
        }
        let Some(here) = self.with.between(&self.scene, &reading.red, &reading.black) else {
            return;
        };
        let tree =
            FeedTree::walk_unplugged(self.question.circuit, Side::Feed, &reading.state.unplugged);
        let point = crate::explain::names::point(&reading.red);
        let pin = self.with.pin(source);
        let fall = pin - here;
        if tree.index_of(&reading.red).is_none() {
            self.say(format!("{point} is at {} then.", three(volts(here))));
        } else if fall > SLIGHT * pin.abs() {
            self.sum(
                &format!("{} is lost on the way to {point}: ", three(volts(fall))),
                difference(pin, fall, Unit::Volts),
                ".",
            );
        }
    }

    /// A supply that gives nothing, too little, or limits too early.
    pub(super) fn tell_supply(&mut self) {
        let Some(fault) = self.scene.own().copied() else {
            return;
        };
        let kind = self.suspect.map(|suspect| suspect.kind);
        let (Effect::Weak(source) | Effect::Dead(source) | Effect::Early(source)) = fault.effect
        else {
            return;
        };
        let name = self.supply(source);
        let Some(supply) = self.question.circuit.supplies.get(source) else {
            return;
        };
        let nominal = three(volts(as_volts(supply.nominal)));
        match kind {
            Some(FaultKind::SupplyDead) => {
                let (sound, now) = (self.without.pin(source), self.with.pin(source));
                self.say(format!(
                    "{name} gives nothing: {} at its pin instead of {}.",
                    three(volts(now)),
                    three(volts(sound))
                ));
                self.sum("", difference(sound, now, Unit::Volts), " is missing.");
            }
            Some(FaultKind::LimitsEarly) => {
                let stated = match supply.limit {
                    crate::circuit::LimitMode::Constant { limit: Some(limit) }
                    | crate::circuit::LimitMode::Foldback {
                        limit: Some(limit), ..
                    } => format!(", stated is {}", three(amperes(as_amperes(limit)))),
                    _ => String::new(),
                };
                let limit = three(amperes(self.with.limit(source)));
                self.say(format!("{name} would limit at {limit}{stated}."));
                self.tell_output(source, "gives");
                if self.with.regime(source) == Regime::Thevenin {
                    self.say("That is below the limit, so nothing shows in this state.");
                }
            }
            _ => {
                self.say(format!("{name} should give {nominal}."));
                self.tell_output(source, "gives only");
            }
        }
    }

    /// A load that takes nothing: what it should take, and how much higher the feed stands without it.
    pub(super) fn tell_idle_load(&mut self) {
        let Some(fault) = self.scene.own().copied() else {
            return;
        };
        let Effect::Cut(row) = fault.effect else {
            return;
        };
        let place = self.place();
        let element = self.scene.model().elements[row];
        let sound = self.without.node(element.a) - self.without.node(element.b);
        let now = self.with.node(element.a) - self.with.node(element.b);
        let circuit = self.question.circuit;
        let Some(load) = circuit.load(&place) else {
            return;
        };
        let electronic = self
            .scene
            .model()
            .electronic
            .iter()
            .find(|load| load.element == row)
            .copied();
        let draw = match (load.model, electronic) {
            (LoadModel::Electronic { .. }, Some(load)) if sound >= load.knee => {
                self.say(format!(
                    "Sound, {place} would take {} at {}.",
                    three(amperes(load.draw)),
                    three(volts(sound))
                ));
                load.draw
            }
            _ => {
                let ohms = 1.0 / element.siemens;
                self.sum(
                    &format!("Sound, {place} would take "),
                    quotient(volts(sound), of_ohms(ohms), Unit::Amperes),
                    ".",
                );
                sound / ohms
            }
        };
        let rise = now - sound;
        if draw < 1e-6 || rise.abs() < 1e-5 {
            self.say("Its feed reads the same with it or without it in this state.");
            return;
        }
        self.sum(
            "It takes nothing, so its feed stands higher: ",
            difference(now, sound, Unit::Volts),
            ".",
        );
        self.sum(
            "",
            quotient(volts(rise), amperes(draw), Unit::Ohms),
            " is what stands between it and the supply.",
        );
    }
}
