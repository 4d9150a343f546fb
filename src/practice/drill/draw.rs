//! Invented vehicles to practise on.

use super::{super::Dice, Drill, Level};
use crate::{
    circuit::{Circuit, ConductorSize, DamageZone, LoadModel, Point, Terminal, Wire, stock},
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
};

/// Vehicles, none of which exists.
const VEHICLES: [&str; 6] = [
    "Corran Tender 2.2",
    "Lowmoor Hauler 7.5",
    "Askrigg Field Carrier",
    "Dunmarrow Lift 12",
    "Fellgate Loader 4",
    "Brigham Sprayer 900",
];
/// What drivers say.
const WORDS: [&str; 6] = [
    "everything on the sensor feed went at once, and the lamp came on",
    "it runs, but half of the gauges read nothing",
    "it came back from body work like this",
    "it was fine until it went through deep water",
    "another shop has already changed two sensors",
    "it comes and goes; today it has gone for good",
];
/// What they say of a feed that has one sensor.
const WORDS_OF_ONE: [&str; 6] = [
    "one gauge reads nothing, and the lamp came on",
    "it runs, but it does not know what it carries",
    "it came back from body work like this",
    "it was fine until it went through deep water",
    "another shop has already changed the sensor, to no avail",
    "it came and went; today it has gone for good",
];
/// Places of connectors, quick ones first.
const PLACES: [&str; 8] = [
    "on the front of the engine, in sight",
    "beside the fuse box",
    "behind the left kick panel",
    "on the bulkhead, under the wiper tray",
    "left sill, behind the step",
    "in the wheel arch, behind the liner",
    "above the rear axle",
    "on top of the tank",
];

/// What the customer says.
pub fn story(drill: Drill, circuit: &Circuit, dice: &mut Dice) -> String {
    let vehicle = VEHICLES[dice.below(VEHICLES.len())];
    let words = match circuit.loads.len() {
        1 => WORDS_OF_ONE[dice.below(WORDS_OF_ONE.len())],
        _ => WORDS[dice.below(WORDS.len())],
    };
    let more = match drill {
        Drill::SplitHalf => {
            " The module's pin reads right and the sensor reads nothing: those are the brackets."
        }
        Drill::UnequalOdds => " One loom shows fresh damage; it is marked on the sketch.",
        Drill::WrongReading => " A colleague has left five readings. One of them is wrong.",
        Drill::TwoFaults => " There may be more than one thing wrong.",
        Drill::LimitedSupply => " The module's output limits its current.",
        _ => "",
    };
    format!("{vehicle}: {words}.{more}")
}

/// A circuit for a drill.
pub fn circuit(drill: Drill, level: Level, dice: &mut Dice) -> Circuit {
    let step = level.number();
    match drill {
        Drill::SplitHalf => chain([4, 8, 14][step - 1], dice),
        Drill::MillivoltTrail => harness([3, 4, 5][step - 1], 1, (1.5, 4.0), dice),
        Drill::GhostVoltage => harness([2, 3, 4][step - 1], 1, (0.4, 2.0), dice),
        _ => {
            let mut circuit = harness([2, 3, 4][step - 1], [1, 2, 2][step - 1], (0.4, 2.5), dice);
            match drill {
                Drill::UnequalOdds => mark(&mut circuit, dice),
                Drill::AccessMinutes => spread(&mut circuit, dice),
                _ => {}
            }
            circuit
        }
    }
}

fn module(circuit: &mut Circuit, nominal: f64) {
    let mut supply = stock::supply("M1", volts(nominal));
    supply.name = "chassis module".to_owned();
    supply.source = Some(ohms(2.0));
    supply.limit = crate::circuit::LimitMode::Constant {
        limit: Some(milliamperes(150.0)),
    };
    circuit.supplies.push(supply);
    let at = Point::new("M1", Terminal::Return);
    circuit.grounds.push(stock::ground("G1", at));
}

fn lay(circuit: &mut Circuit, from: Point, to: Point, length: f64, area: f64, bundle: &str) {
    let id = format!("W{}", circuit.wires.len() + 1);
    let mut wire: Wire = stock::wire(id, from, to);
    wire.length = Some(metres((length * 20.0).round() / 20.0));
    wire.size = ConductorSize::SquareMillimetres(square_millimetres(area));
    bundle.clone_into(&mut wire.bundle);
    circuit.wires.push(wire);
}

fn connector(circuit: &mut Circuit, id: &str, place: usize, access: f64) {
    let mut made = stock::connector(id, 1);
    made.place = PLACES[place.min(PLACES.len() - 1)].to_owned();
    made.access = minutes(access.round());
    circuit.connectors.push(made);
}

/// A feed in one line through connectors of equal effort, to one sensor.
fn chain(stretches: usize, dice: &mut Dice) -> Circuit {
    let mut circuit = Circuit::default();
    module(&mut circuit, 5.0);
    let mut from = Point::new("M1", Terminal::Feed(1));
    for n in 1..stretches {
        let id = format!("C{n}");
        connector(&mut circuit, &id, n % PLACES.len(), 5.0);
        let length = dice.between(0.4, 1.6);
        lay(
            &mut circuit,
            from,
            Point::new(&id, Terminal::Near(1)),
            length,
            0.5,
            "",
        );
        from = Point::new(&id, Terminal::Far(1));
    }
    let end = Point::new("S1", Terminal::Feed(1));
    lay(
        &mut circuit,
        from,
        end.clone(),
        dice.between(0.4, 1.6),
        0.5,
        "",
    );
    let mut sensor = stock::sensor("S1", end, Point::battery_negative(), volts(5.0));
    sensor.model = LoadModel::Resistive {
        resistance: ohms(1200.0),
    };
    circuit.loads.push(sensor);
    circuit
}

/// A trunk through inline connectors and splices, with plugs and sensors hanging from every splice.
fn harness(splices: usize, sensors: usize, length: (f64, f64), dice: &mut Dice) -> Circuit {
    let nominal = [5.0, 8.0, 9.0, 12.0][dice.below(4)];
    let mut circuit = Circuit::default();
    module(&mut circuit, nominal);
    let mut from = Point::new("M1", Terminal::Feed(1));
    let mut sensor = 0;
    for n in 1..=splices {
        let (inline, splice) = (format!("C{n}"), format!("SP{n}"));
        let bundle = format!("loom {n}");
        connector(
            &mut circuit,
            &inline,
            dice.below(5),
            dice.between(3.0, 10.0),
        );
        circuit.splices.push(stock::splice(&splice));
        let metres = dice.between(length.0, length.1);
        let near = Point::new(&inline, Terminal::Near(1));
        lay(&mut circuit, from, near, metres, 0.5, &bundle);
        let (far, at) = (
            Point::new(&inline, Terminal::Far(1)),
            Point::new(&splice, Terminal::Only),
        );
        let metres = dice.between(length.0, length.1);
        lay(&mut circuit, far, at.clone(), metres, 0.5, &bundle);
        for _ in 0..sensors {
            sensor += 1;
            let plug = format!("X{sensor}");
            connector(
                &mut circuit,
                &plug,
                dice.below(PLACES.len()),
                dice.between(3.0, 15.0),
            );
            let metres = dice.between(length.0, length.1);
            let near = Point::new(&plug, Terminal::Near(1));
            lay(&mut circuit, at.clone(), near, metres, 0.35, &bundle);
            let far = Point::new(&plug, Terminal::Far(1));
            let mut load = stock::sensor(
                format!("S{sensor}"),
                far,
                Point::battery_negative(),
                volts(nominal),
            );
            if dice.unit() < 0.5 {
                load.model = LoadModel::Resistive {
                    resistance: ohms((dice.between(10.0, 30.0)).round() * 100.0),
                };
            }
            circuit.loads.push(load);
        }
        from = at;
    }
    circuit
}

/// One loom was hit.
fn mark(circuit: &mut Circuit, dice: &mut Dice) {
    let looms: Vec<String> = circuit
        .wires
        .iter()
        .map(|wire| wire.bundle.clone())
        .collect();
    circuit.damage_zones.push(DamageZone {
        note: "fresh scrape marks".to_owned(),
        parts: vec![looms[dice.below(looms.len())].clone()],
        factor: 8.0,
    });
}

/// Some connectors are in sight, others are an hour's work.
fn spread(circuit: &mut Circuit, dice: &mut Dice) {
    for connector in &mut circuit.connectors {
        let quick = dice.unit() < 0.5;
        let (low, high) = if quick { (2.0, 4.0) } else { (15.0, 45.0) };
        connector.access = minutes(dice.between(low, high).round());
        let place = if quick {
            dice.below(2)
        } else {
            5 + dice.below(3)
        };
        PLACES[place].clone_into(&mut connector.place);
    }
}
