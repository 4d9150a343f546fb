//! Two faults in one vehicle: whether the search comes upon them. Every connector of a simulated vehicle is read with
//! everything plugged, and once more with one connector parted. The reference is the search's own measure: the true pair,
//! weighed by itself. Where it outweighs everything that was found by three bits, the search has lost it.

use pinchpoint::{
    circuit::{Circuit, Point, Terminal, quick::quick_feed},
    fault::{FaultKind, Site},
    infer::{
        candidate::candidates,
        lower::Model,
        search::{search, weighed},
    },
    practice::{Drill, Hidden, Level, World},
    quantity::units::volts,
    reading::{Entry, Kind, Meter, Reading, State},
};

/// Vehicles of each sort.
const VEHICLES: u64 = 12;
/// Natural logarithm of weight by which a pair is lost: three bits.
const LOST: f64 = 2.08;

/// One of so many, as good as at random.
fn pick(seed: u64, salt: u64, of: usize) -> usize {
    ((seed * 7919 + salt * 104_729 + 31) % 1_000_003) as usize % of
}

/// The second fault of a vehicle.
fn second(circuit: &Circuit, kind: FaultKind, on_a_wire: bool, seed: u64) -> Hidden {
    let (site, size) = if on_a_wire {
        let wire = &circuit.wires[pick(seed, 4, circuit.wires.len())];
        (
            Site::part(wire.id.clone()),
            [5.0, 20.0, 80.0][pick(seed, 2, 3)],
        )
    } else if kind == FaultKind::DrawsTooMuch {
        let load = &circuit.loads[pick(seed, 3, circuit.loads.len())];
        (
            Site::part(load.id.clone()),
            [3.0, 8.0, 20.0][pick(seed, 2, 3)],
        )
    } else {
        let connector = &circuit.connectors[pick(seed, 1, circuit.connectors.len())];
        (
            Site::pin(connector.id.clone(), 1),
            [20.0, 80.0, 300.0][pick(seed, 2, 3)],
        )
    };
    let at = 0.1 + 0.008 * pick(seed, 5, 100) as f64;
    Hidden {
        site,
        kind,
        size,
        at,
    }
}

/// What is read at every connector, with everything plugged and then with one connector parted, if one is.
fn survey(world: &mut World, parted: Option<String>) -> Vec<Entry> {
    let states = [
        Some(State::default()),
        parted.map(|id| State {
            unplugged: [id].into(),
            ..State::default()
        }),
    ];
    let points: Vec<Point> = (world.circuit().points().into_iter())
        .filter(|p| matches!(p.terminal, Terminal::Near(1) | Terminal::Feed(_)))
        .collect();
    let mut log = Vec::new();
    for state in states.into_iter().flatten() {
        for point in &points {
            let black = Point::battery_negative();
            let value = world.measure(Kind::Volts, point, &black, &state);
            log.extend(value.ok().map(|value| {
                Entry::Reading(Reading {
                    value,
                    state: state.clone(),
                    ..Reading::volts(point.clone(), 0.0)
                })
            }));
        }
    }
    log
}

/// How many pairs are lost, of how many: a short to ground in a wire beside a fault of some kind.
fn lost(kind: FaultKind, on_a_wire: bool) -> (usize, usize) {
    let (mut lost, mut all) = (0, 0);
    for seed in 0..VEHICLES {
        let level = Level::ALL[seed as usize % Level::ALL.len()];
        let exercise = Drill::TwoFaults.exercise(level, seed);
        let circuit = &exercise.circuit;
        let mut hidden = exercise.hidden.clone();
        hidden.truncate(1);
        hidden.push(second(circuit, kind, on_a_wire, seed));
        let connector = &circuit.connectors[pick(seed, 6, circuit.connectors.len())];
        for parted in [None, Some(connector.id.clone())] {
            let mut world =
                World::draw(circuit, &hidden, &exercise.meter, seed).expect("such faults can be");
            let log = survey(&mut world, parted);
            all += 1;
            lost += usize::from(is_lost(circuit, &exercise.meter, &log, &hidden));
        }
    }
    println!("a short beside {kind:?}, in a wire {on_a_wire}: {lost} of {all} lost");
    (lost, all)
}

/// How many pairs of shorted sensors are lost, of how many: feeds of many sensors, each plug of which is parted by itself
/// while the module's pin is read.
fn lost_among_many() -> (usize, usize) {
    let (mut lost, mut all) = (0, 0);
    for (seed, sensors) in (0..).zip([8_u8, 12, 16, 20, 24, 28, 32, 36]) {
        let circuit = quick_feed(volts(9.0), sensors, true, seed % 2 == 0);
        let all_of_them = circuit.loads.len();
        let one = pick(seed, 1, all_of_them);
        let other = (one + 1 + pick(seed, 2, all_of_them - 1)) % all_of_them;
        let shorted = |load: usize, ohms: f64| Hidden {
            site: Site::part(circuit.loads[load].id.clone()),
            kind: FaultKind::DrawsTooMuch,
            size: ohms,
            at: 0.0,
        };
        let ohms = [3.0, 5.0, 8.0, 20.0];
        let hidden = [
            shorted(one, ohms[pick(seed, 3, 4)]),
            shorted(other, ohms[pick(seed, 4, 4)]),
        ];
        let meter = Meter::default();
        let mut world = World::draw(&circuit, &hidden, &meter, seed).expect("such faults can be");
        let pin: Point = "M1.feed".parse().expect("a point");
        let plugs = circuit.connectors.iter().map(|connector| State {
            unplugged: [connector.id.clone()].into(),
            ..State::default()
        });
        let log: Vec<Entry> = std::iter::once(State::default())
            .chain(plugs)
            .filter_map(|state| {
                let black = Point::battery_negative();
                let value = world.measure(Kind::Volts, &pin, &black, &state).ok()?;
                Some(Entry::Reading(Reading {
                    value,
                    state,
                    ..Reading::volts(pin.clone(), 0.0)
                }))
            })
            .collect();
        all += 1;
        lost += usize::from(is_lost(&circuit, &meter, &log, &hidden));
    }
    println!("two sensors of many: {lost} of {all} lost");
    (lost, all)
}

/// Whether the true faults outweigh all that the search comes upon.
fn is_lost(circuit: &Circuit, meter: &Meter, log: &[Entry], hidden: &[Hidden]) -> bool {
    let model = Model::new(circuit, meter, log, &[]);
    let list = candidates(circuit, &model);
    let pair: Vec<(usize, f64)> = (hidden.iter())
        .map(|fault| {
            let own = list.iter().position(|c| {
                let here = c.ends().is_none_or(|(a, b)| (a..=b).contains(&fault.at));
                c.site == fault.site && c.kind == fault.kind && here
            });
            let index = own.expect("the true fault is a candidate");
            let sized = list[index].size.is_some();
            (index, if sized { fault.size.ln() } else { 0.0 })
        })
        .collect();
    let truth = weighed(&model, &list, &pair).expect("it can be weighed");
    let found = search(&model, &list);
    let best = (found.hypotheses.iter().map(|h| h.log_weight)).fold(found.unexplained, f64::max);
    truth.log_weight > best + LOST
}

/// No more may be lost than were when this was measured.
fn check(kind: FaultKind, on_a_wire: bool, most: usize) {
    let (lost, all) = lost(kind, on_a_wire);
    assert_eq!(all, 2 * VEHICLES as usize);
    assert!(lost <= most, "{kind:?}: {lost} of {all} lost");
}

#[test]
fn two_shorts_in_wires() {
    check(FaultKind::ShortToGround, true, 0);
}

#[test]
fn a_short_beside_a_sensor_that_is_shorted() {
    check(FaultKind::DrawsTooMuch, false, 2);
}

#[test]
fn two_sensors_of_many_that_are_shorted() {
    let (lost, all) = lost_among_many();
    assert_eq!((lost, all), (0, 8));
}

#[test]
fn a_short_beside_an_open() {
    check(FaultKind::Open, true, 1);
}

#[test]
fn a_short_beside_a_bad_wire() {
    check(FaultKind::HighResistance, true, 1);
}

#[test]
fn a_short_beside_a_bad_pin() {
    check(FaultKind::HighResistance, false, 0);
}
