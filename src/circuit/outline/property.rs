//! What stands behind a designation: numbers with units, colours, flags, names.

use super::{
    OutlineError,
    read::{Reader, shown},
    words::{Class, Token, bare},
};
use crate::{
    circuit::{Colour, ConductorSize, LoadModel, check::MAX_PINS, stock},
    quantity::{
        Unit, typed_number,
        units::{amperes, metres, minutes, ohms, square_millimetres, volts},
    },
};

const TAP: &str = "tap";
const LATCHES: &str = "latches";
const MORE: &str = "more";
const SEALED: &str = "sealed";

impl Reader {
    /// Whether a token tells of the part before it rather than naming the next.
    pub(super) fn is_property(class: Class, token: &Token) -> bool {
        let Token::Word(word) = token else {
            return true;
        };
        let is_flag = match class {
            Class::Wire => {
                gauge(word).is_some() || (word.len() <= 4 && word.parse::<Colour>().is_ok())
            }
            Class::Module => word == LATCHES || word == MORE,
            Class::Connector => word == SEALED,
            Class::Splice => word == MORE,
            Class::Sensor => word == TAP,
            Class::Ground | Class::Fuse | Class::Rail => false,
        };
        is_flag
            || word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−'))
    }

    /// Whether a property takes the token behind it.
    pub(super) fn takes_argument(word: &str) -> bool {
        word == TAP
    }

    /// Applies one property.
    pub(super) fn property(
        &mut self,
        class: Class,
        index: usize,
        token: &Token,
        argument: Option<&Token>,
    ) -> Result<(), OutlineError> {
        let word = match token {
            Token::Word(word) => word.as_str(),
            Token::Name(name) => return self.name(class, index, name),
        };
        let circuit = &mut self.circuit;
        match (class, word) {
            (Class::Module, LATCHES) => circuit.supplies[index].latches = true,
            (Class::Module, MORE) => circuit.supplies[index].more_members = true,
            (Class::Splice, MORE) => circuit.splices[index].more_members = true,
            (Class::Connector, SEALED) => circuit.connectors[index].sealed = true,
            (Class::Sensor, TAP) => {
                let fraction = match argument {
                    Some(Token::Word(word)) => {
                        bare(word).filter(|fraction| (0.0..=1.0).contains(fraction))
                    }
                    _ => None,
                };
                if fraction.is_none() {
                    return self.fail(
                        "the signal tap has no fraction",
                        "write a number from 0 to 1 behind it, e.g. tap 0.5",
                    );
                }
                circuit.loads[index].signal_fraction = fraction;
            }
            (Class::Wire, _) => {
                let wire = &mut circuit.wires[index];
                if let Some(gauge) = gauge(word) {
                    wire.size = ConductorSize::Awg(gauge);
                } else if let Ok(colour) = word.parse::<Colour>() {
                    if wire.colour.is_some() {
                        let what = format!("{} has two colours", wire.id);
                        return self.fail(what, "join base and stripe, e.g. RDWH; the battery negative is written negative");
                    }
                    wire.colour = Some(colour);
                } else {
                    return self.number(class, index, word);
                }
            }
            _ => return self.number(class, index, word),
        }
        Ok(())
    }

    fn name(&mut self, class: Class, index: usize, name: &str) -> Result<(), OutlineError> {
        let circuit = &mut self.circuit;
        let place = match class {
            Class::Module => &mut circuit.supplies[index].name,
            Class::Connector => &mut circuit.connectors[index].name,
            Class::Sensor => &mut circuit.loads[index].name,
            Class::Rail => &mut circuit.rails[index].name,
            Class::Wire | Class::Splice | Class::Ground | Class::Fuse => {
                return self.fail(
                    format!(
                        "a {} has no name, but “{}” is given",
                        class.word(),
                        shown(name)
                    ),
                    "take the name away",
                );
            }
        };
        name.clone_into(place);
        Ok(())
    }

    fn number(&mut self, class: Class, index: usize, word: &str) -> Result<(), OutlineError> {
        if let Some(percent) = word.strip_suffix('%').and_then(bare) {
            match class {
                Class::Module => self.circuit.supplies[index].tolerance_percent = percent,
                Class::Sensor => self.circuit.loads[index].spread_percent = percent,
                _ => return self.useless(class, word),
            }
            return Ok(());
        }
        let area = word
            .strip_suffix("mm2")
            .or_else(|| word.strip_suffix("mm²"))
            .unwrap_or(word);
        if class == Class::Wire
            && let Some(area) = bare(area)
        {
            self.circuit.wires[index].size =
                ConductorSize::SquareMillimetres(square_millimetres(area));
            return Ok(());
        }
        let pins = word
            .strip_suffix("pins")
            .or_else(|| word.strip_suffix("pin"));
        if class == Class::Connector
            && let Some(pins) = pins
        {
            let Some(count) = pins
                .parse::<u8>()
                .ok()
                .filter(|count| (1..=MAX_PINS).contains(count))
            else {
                return self.fail(
                    format!("“{}” is no number of pins", shown(word)),
                    "write 1 to 200, e.g. 3pins",
                );
            };
            let list = &mut self.circuit.connectors[index].pins;
            list.resize(list.len().max(count.into()), stock::pin());
            return Ok(());
        }
        // A bare number or prefix has the first unit. A sensor has none that goes without saying, but 4k7 are ohms.
        let has = |letters: &[char]| word.contains(letters);
        let units: &[Unit] = match class {
            Class::Module | Class::Rail => &[Unit::Volts, Unit::Ohms],
            Class::Wire => &[Unit::Metres],
            Class::Connector => &[Unit::Minutes],
            Class::Ground => &[Unit::Ohms],
            Class::Fuse => &[Unit::Amperes],
            Class::Sensor if has(&['a', 'A']) => &[Unit::Amperes],
            Class::Sensor if has(&['v', 'V']) => &[Unit::Volts],
            Class::Sensor if has(&['Ω', '\u{2126}', 'k', 'K', 'M', 'R', 'r', 'o', 'O']) => {
                &[Unit::Ohms]
            }
            Class::Sensor => &[],
            Class::Splice => &[],
        };
        for unit in units {
            if let Ok(value) = typed_number(word, *unit) {
                return self.value(class, index, *unit, value);
            }
        }
        self.useless(class, word)
    }

    fn value(
        &mut self,
        class: Class,
        index: usize,
        unit: Unit,
        value: f64,
    ) -> Result<(), OutlineError> {
        let circuit = &mut self.circuit;
        match (class, unit) {
            (Class::Module, Unit::Volts) => circuit.supplies[index].nominal = volts(value),
            (Class::Module, Unit::Ohms) => circuit.supplies[index].source = Some(ohms(value)),
            (Class::Rail, Unit::Volts) => circuit.rails[index].potential = volts(value),
            (Class::Rail, Unit::Ohms) => circuit.rails[index].source = ohms(value),
            (Class::Wire, Unit::Metres) => circuit.wires[index].length = Some(metres(value)),
            (Class::Connector, Unit::Minutes) => circuit.connectors[index].access = minutes(value),
            (Class::Ground, Unit::Ohms) => circuit.grounds[index].strap = ohms(value),
            (Class::Fuse, Unit::Amperes) => circuit.fuses[index].rated = amperes(value),
            (Class::Sensor, Unit::Ohms) => {
                circuit.loads[index].model = LoadModel::Resistive {
                    resistance: ohms(value),
                };
            }
            (Class::Sensor, Unit::Amperes) => match &mut circuit.loads[index].model {
                LoadModel::Electronic { draw, .. } => *draw = amperes(value),
                model @ LoadModel::Resistive { .. } => {
                    *model = LoadModel::Electronic {
                        draw: amperes(value),
                        knee: volts(0.0),
                    };
                }
            },
            (Class::Sensor, Unit::Volts) => match &mut circuit.loads[index].model {
                LoadModel::Electronic { knee, .. } => {
                    *knee = volts(value);
                    self.knees.insert(index);
                }
                LoadModel::Resistive { .. } => {
                    return self.fail(
                        "a sensor that is a resistance has no knee voltage",
                        "take the volts away, or give its draw, e.g. 8mA",
                    );
                }
            },
            _ => return self.useless(class, unit.symbol()),
        }
        Ok(())
    }

    /// A number that says nothing of its part.
    fn useless(&self, class: Class, word: &str) -> Result<(), OutlineError> {
        let right = match class {
            Class::Module => {
                "volts, a tolerance in percent or its source resistance, e.g. 5V 2% 3Ω"
            }
            Class::Wire => {
                "a length with its unit and a conductor size, e.g. 1.2m 0.5 or 1.2m awg20"
            }
            Class::Connector => "minutes to reach it and pins, e.g. 5min 3pins",
            Class::Splice => "nothing but more, if it feeds members that are not drawn",
            Class::Ground => "the ohms of its strap, e.g. 0.01Ω",
            Class::Fuse => "its rated current, e.g. 10A",
            Class::Sensor => "its draw or resistance with the unit, e.g. 8mA, 8mA 2.5V or 5kΩ",
            Class::Rail => "its volts and source resistance, e.g. 12V 0.01Ω",
        };
        self.fail(
            format!("“{}” tells nothing of a {}", shown(word), class.word()),
            format!("write {right}"),
        )
    }
}

/// Reads `awg20`; 1/0 to 4/0 are `awg0` to `awg-3`.
fn gauge(word: &str) -> Option<i8> {
    let digits = word
        .get(..3)
        .filter(|start| start.eq_ignore_ascii_case("awg"))
        .and_then(|_| word.get(3..))?;
    digits.parse().ok()
}
