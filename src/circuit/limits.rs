//! Which numbers a part may carry. Wide bounds: they refuse slips and nonsense, not unusual vehicles.

use std::ops::RangeInclusive;

use super::{
    Circuit, ConductorSize, Connector, Fuse, LimitMode, Load, LoadModel, Rail, Supply, Wire,
    check::{Complaint, MAX_PINS},
};
use crate::quantity::units::{
    as_amperes, as_metres, as_milliamperes, as_minutes, as_ohms, as_square_millimetres, as_volts,
};

/// Volts of a supply or rail.
const VOLTS: RangeInclusive<f64> = 0.1..=1000.0;
/// Ohms in series; none at all would be a part that is not there, and no contact reaches a microohm.
const SERIES_OHM: RangeInclusive<f64> = 1e-6..=1e6;
/// Ohms of a load.
const LOAD_OHM: RangeInclusive<f64> = 1e-3..=1e9;
/// Milliamperes of a draw, a limit or a fuse.
const MILLIAMPERES: RangeInclusive<f64> = 1e-3..=1e6;
/// Metres of a wire.
pub(crate) const METRES: RangeInclusive<f64> = 1e-3..=1000.0;
/// Square millimetres of a conductor.
pub(super) const AREA: RangeInclusive<f64> = 0.01..=500.0;
/// Wire gauges, 4/0 to 40.
pub(super) const GAUGES: RangeInclusive<i8> = -3..=40;
/// Minutes to reach something.
const MINUTES: RangeInclusive<f64> = 0.0..=10_000.0;
/// Spread factors (times or divided by).
const FACTOR: RangeInclusive<f64> = 1.0..=1000.0;
/// Tolerances and spreads in percent.
const PERCENT: RangeInclusive<f64> = 0.0..=100.0;

/// Complains about every number that is outside its bounds.
pub(super) fn check_numbers(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let number = &mut |part: &str, what: &str, value: f64, bounds: &Bounds, unit: &str| {
        if !bounds.contains(&value) {
            complaints.push(Complaint::fatal(
                part,
                format!("{what} is {}{unit}", plain(value)),
                format!(
                    "give a number from {} to {}{unit}",
                    bounds.start(),
                    bounds.end()
                ),
            ));
        }
    };
    circuit.supplies.iter().for_each(|it| supply(it, number));
    circuit.wires.iter().for_each(|it| wire(it, number));
    circuit
        .connectors
        .iter()
        .for_each(|it| connector(it, number));
    for it in &circuit.grounds {
        let strap = as_ohms(it.strap);
        number(&it.id, "strap resistance", strap, &SERIES_OHM, " Ω");
    }
    circuit.fuses.iter().for_each(|it| fuse(it, number));
    circuit.loads.iter().for_each(|it| load(it, number));
    circuit.rails.iter().for_each(|it| rail(it, number));
    for zone in &circuit.damage_zones {
        let part = zone.parts.first().map_or("damage zone", String::as_str);
        number(part, "factor of the damage zone", zone.factor, &FACTOR, "");
    }
    complaints.extend(circuit.supplies.iter().filter_map(unfolding));
}

type Bounds = RangeInclusive<f64>;
/// Told a part, what is checked of it, the number, its bounds, and the unit behind it.
type Number<'n> = &'n mut dyn FnMut(&str, &str, f64, &Bounds, &str);

fn supply(supply: &Supply, number: Number<'_>) {
    let id = &supply.id;
    number(
        id,
        "nominal voltage",
        as_volts(supply.nominal),
        &VOLTS,
        " V",
    );
    number(id, "tolerance", supply.tolerance_percent, &PERCENT, " %");
    if let Some(source) = supply.source {
        number(id, "source resistance", as_ohms(source), &SERIES_OHM, " Ω");
    }
    number(
        id,
        "spread factor of the source resistance",
        supply.source_factor,
        &FACTOR,
        "",
    );
    number(
        id,
        "spread factor of the current limit",
        supply.limit_factor,
        &FACTOR,
        "",
    );
    let (limit, short_circuit) = match supply.limit {
        LimitMode::Unknown | LimitMode::None => (None, None),
        LimitMode::Constant { limit } => (limit, None),
        LimitMode::Foldback {
            limit,
            short_circuit,
        } => (limit, short_circuit),
    };
    for (what, current) in [
        ("current limit", limit),
        ("short-circuit current", short_circuit),
    ] {
        if let Some(current) = current {
            number(id, what, as_milliamperes(current), &MILLIAMPERES, " mA");
        }
    }
    number(
        id,
        "count of feed pins",
        supply.feed_pins.into(),
        &(1.0..=f64::from(MAX_PINS)),
        "",
    );
    number(
        id,
        "time to probe",
        as_minutes(supply.probe),
        &MINUTES,
        " min",
    );
}

fn wire(wire: &Wire, number: Number<'_>) {
    if let Some(length) = wire.length {
        number(&wire.id, "length", as_metres(length), &METRES, " m");
    }
    match wire.size {
        ConductorSize::SquareMillimetres(area) => {
            number(
                &wire.id,
                "conductor size",
                as_square_millimetres(area),
                &AREA,
                " mm²",
            );
        }
        ConductorSize::Awg(gauge) => {
            let bounds = f64::from(*GAUGES.start())..=f64::from(*GAUGES.end());
            number(&wire.id, "conductor size (AWG)", gauge.into(), &bounds, "");
        }
    }
}

fn connector(connector: &Connector, number: Number<'_>) {
    number(
        &connector.id,
        "time to reach",
        as_minutes(connector.access),
        &MINUTES,
        " min",
    );
    for (n, pin) in (1..=MAX_PINS).zip(&connector.pins) {
        number(
            &connector.id,
            &format!("contact resistance of pin {n}"),
            as_ohms(pin.contact),
            &SERIES_OHM,
            " Ω",
        );
    }
}

fn fuse(fuse: &Fuse, number: Number<'_>) {
    number(
        &fuse.id,
        "rated current",
        as_milliamperes(fuse.rated),
        &MILLIAMPERES,
        " mA",
    );
    number(
        &fuse.id,
        "resistance",
        as_ohms(fuse.resistance),
        &SERIES_OHM,
        " Ω",
    );
}

fn load(load: &Load, number: Number<'_>) {
    match load.model {
        LoadModel::Resistive { resistance } => {
            number(&load.id, "resistance", as_ohms(resistance), &LOAD_OHM, " Ω");
        }
        LoadModel::Electronic { draw, knee } => {
            number(
                &load.id,
                "draw",
                as_milliamperes(draw),
                &MILLIAMPERES,
                " mA",
            );
            number(
                &load.id,
                "knee voltage",
                as_volts(knee),
                &(0.01..=1000.0),
                " V",
            );
        }
    }
    number(
        &load.id,
        "spread of the draw",
        load.spread_percent,
        &PERCENT,
        " %",
    );
    if let Some(fraction) = load.signal_fraction {
        number(&load.id, "signal fraction", fraction, &(0.0..=1.0), "");
    }
}

fn rail(rail: &Rail, number: Number<'_>) {
    number(
        &rail.id,
        "voltage",
        as_volts(rail.potential),
        &(-1000.0..=1000.0),
        " V",
    );
    number(
        &rail.id,
        "source resistance",
        as_ohms(rail.source),
        &SERIES_OHM,
        " Ω",
    );
}

/// The complaint about a supply that would give more into a short than at its limit.
fn unfolding(supply: &Supply) -> Option<Complaint> {
    let LimitMode::Foldback {
        limit: Some(limit),
        short_circuit: Some(short_circuit),
    } = supply.limit
    else {
        return None;
    };
    (as_amperes(short_circuit) > as_amperes(limit)).then(|| {
        Complaint::fatal(
            &supply.id,
            "the short-circuit current is above the limit, so the output would not fold back",
            "swap the two currents, or choose a constant limit",
        )
    })
}

/// A number without a tail of zeros that nobody can count.
fn plain(value: f64) -> String {
    match value.abs() {
        a if a != 0.0 && !(1e-4..1e7).contains(&a) => format!("{value:e}"),
        _ => format!("{value}"),
    }
}
