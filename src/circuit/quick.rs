//! Quick start: a tidy feed from three answers, to be corrected on the drawing.

use super::{
    Circuit, Colour, ConductorSize, LimitMode, LoadModel, Point, Terminal, colour::Hue, stock,
};
use crate::quantity::{
    Volts,
    units::{amperes, as_amperes, as_ohms, as_volts, metres, ohms, square_millimetres},
};

/// Most sensors that a quick start draws.
pub const MOST_SENSORS: u8 = 40;
/// Sensors at one splice.
const PER_SPLICE: usize = 4;
/// Amperes of sound sensors from which the module is one made for that many: half of what a limit that nobody stated is
/// taken to be. How many times their draw its limit then is, and within which factor (judgement).
const MANY: f64 = 0.05;
const TO_SPARE: f64 = 3.0;
const WITHIN: f64 = 2.5;
/// Ohms of a sensor that is a resistance, end to end of a position track (judgement).
const TRACK_OHM: f64 = 5000.0;

/// Draws a feed: module M1, an inline connector C1 if wanted, splices SP1 and on, and a plug X1.. with a sensor S1.. for
/// each sensor; returns through wires of their own to M1, or at the chassis. G1 grounds the module's return.
///
/// Every other sensor is electronic, the rest are resistive; lengths and sizes are plausible and meant to be corrected, as
/// is the limit that the module of many sensors is given.
/// A number of sensors outside 1 to [`MOST_SENSORS`] is brought inside.
///
/// ```
/// use pinchpoint::{circuit::{check, quick_feed}, quantity::units::volts};
/// let circuit = quick_feed(volts(5.0), 6, true, false);
/// assert_eq!(circuit.loads.len(), 6);
/// assert_eq!(check(&circuit), []);
/// ```
pub fn quick_feed(nominal: Volts, sensors: u8, inline: bool, separate_return: bool) -> Circuit {
    let sensors = sensors.clamp(1, MOST_SENSORS);
    let pins = if separate_return { 2 } else { 1 };
    let mut circuit = Circuit::default();
    circuit.supplies.push(stock::supply("M1", nominal));
    circuit
        .grounds
        .push(stock::ground("G1", Point::new("M1", Terminal::Return)));
    if inline {
        circuit.connectors.push(stock::connector("C1", pins));
    }
    for n in 1..=sensors {
        let plug = format!("X{n}");
        let back = if separate_return {
            Point::new(&plug, Terminal::Far(2))
        } else {
            Point::battery_negative()
        };
        let mut sensor = stock::sensor(
            format!("S{n}"),
            Point::new(&plug, Terminal::Far(1)),
            back,
            nominal,
        );
        if n % 2 == 0 {
            sensor.model = LoadModel::Resistive {
                resistance: ohms(TRACK_OHM),
            };
        }
        circuit.loads.push(sensor);
        circuit.connectors.push(stock::plug(plug, pins));
    }
    lay(
        &mut circuit,
        sensors,
        inline,
        1,
        Point::new("M1", Terminal::Feed(1)),
        Hue::Red,
    );
    if separate_return {
        lay(
            &mut circuit,
            sensors,
            inline,
            2,
            Point::new("M1", Terminal::Return),
            Hue::Black,
        );
    }
    let drawn = draw(&circuit, as_volts(nominal));
    if drawn > MANY {
        let supply = &mut circuit.supplies[0];
        supply.limit = LimitMode::Constant {
            limit: Some(amperes(TO_SPARE * drawn)),
        };
        supply.limit_factor = WITHIN;
    }
    circuit
}

/// Amperes that the sensors take when nothing is wrong.
fn draw(circuit: &Circuit, nominal: f64) -> f64 {
    let of = |model: &LoadModel| match model {
        LoadModel::Electronic { draw, .. } => as_amperes(*draw),
        LoadModel::Resistive { resistance } => nominal / as_ohms(*resistance),
    };
    circuit.loads.iter().map(|load| of(&load.model)).sum()
}

/// Lays the wires from a pin of the module, through one pin of the inline connector, past splices, to one pin of every plug.
fn lay(circuit: &mut Circuit, sensors: u8, inline: bool, pin: u8, start: Point, base: Hue) {
    let trunk = Colour { base, stripe: None };
    let mut at = start;
    if inline {
        wire(
            circuit,
            at,
            Point::new("C1", Terminal::Near(pin)),
            1.2,
            0.5,
            trunk,
        );
        at = Point::new("C1", Terminal::Far(pin));
    }
    let numbers: Vec<u8> = (1..=sensors).collect();
    for group in numbers.chunks(PER_SPLICE) {
        if sensors > 1 {
            let splice = circuit.fresh_id("SP");
            circuit.splices.push(stock::splice(&splice));
            let end = Point::new(splice, Terminal::Only);
            wire(circuit, at, end.clone(), 0.8, 0.5, trunk);
            at = end;
        }
        for n in group {
            let plug = Point::new(format!("X{n}"), Terminal::Near(pin));
            // Branches differ, so that a drawing to scale does not put one upon the other.
            let length = 0.5 + 0.2 * f64::from(n % 5);
            wire(
                circuit,
                at.clone(),
                plug,
                length,
                0.35,
                branch_colour(base, *n),
            );
        }
    }
}

fn wire(circuit: &mut Circuit, from: Point, to: Point, length: f64, mm2: f64, colour: Colour) {
    let mut wire = stock::wire(circuit.fresh_id("W"), from, to);
    wire.length = Some(metres(length));
    wire.size = ConductorSize::SquareMillimetres(square_millimetres(mm2));
    wire.colour = Some(colour);
    circuit.wires.push(wire);
}

/// The trunk's colour with one of a few stripes.
fn branch_colour(base: Hue, n: u8) -> Colour {
    const STRIPES: [Hue; 6] = [
        Hue::White,
        Hue::Yellow,
        Hue::Green,
        Hue::Blue,
        Hue::Violet,
        Hue::Grey,
    ];
    Colour {
        base,
        stripe: Some(STRIPES[usize::from(n - 1) % STRIPES.len()]),
    }
}
