//! Fields of a module's output: volts, tolerance, how it limits its current.

use egui::Ui;

use super::fields::{Measure, Row};
use crate::{
    circuit::{LimitMode, Supply},
    quantity::{
        Unit,
        units::{amperes, as_amperes, as_minutes, as_ohms, as_volts, minutes, ohms, volts},
    },
    ui::{
        kit::{choice_ui, label_ui},
        theme::Theme,
    },
};

/// Currents at which an output limits.
const LIMIT: (f64, f64) = (0.001, 50.0);
/// Feed pins that a module can have.
const PINS: std::ops::RangeInclusive<u8> = 1..=16;

/// Fields of a module's output; answers it when something was changed.
pub fn supply_ui(
    ui: &mut Ui,
    theme: &Theme,
    row: &mut Row<'_>,
    mut supply: Supply,
) -> Option<Supply> {
    let mut changed = row.text_ui(ui, theme, "Name", &mut supply.name);
    let mut nominal = as_volts(supply.nominal);
    changed |= row.number_ui(
        ui,
        theme,
        "Nominal",
        Measure::In(Unit::Volts),
        &mut nominal,
        (0.5, 60.0),
    );
    supply.nominal = volts(nominal);
    changed |= row.number_ui(
        ui,
        theme,
        "Tolerance ±",
        Measure::Percent,
        &mut supply.tolerance_percent,
        (0.1, 50.0),
    );
    let mut source = supply.source.map(as_ohms);
    changed |= row.maybe_ui(
        ui,
        theme,
        "Source (empty: not known)",
        Measure::In(Unit::Ohms),
        &mut source,
        (0.0, 10_000.0),
    );
    supply.source = source.map(ohms);
    changed |= row.number_ui(
        ui,
        theme,
        "Source within a factor",
        Measure::Plain,
        &mut supply.source_factor,
        (1.0, 100.0),
    );
    let pins = supply.feed_pins.to_string();
    let read = |text: &str| match text.trim().parse::<u8>() {
        Ok(pins) if PINS.contains(&pins) => Ok(pins),
        _ => Err(format!(
            "A whole number from {} to {}",
            PINS.start(),
            PINS.end()
        )),
    };
    if let Some(pins) = row.kept_ui(ui, theme, "Feed pins, joined inside", "", &pins, read) {
        supply.feed_pins = pins;
        changed = true;
    }
    let mut probe = as_minutes(supply.probe);
    changed |= row.number_ui(
        ui,
        theme,
        "Minutes to probe",
        Measure::In(Unit::Minutes),
        &mut probe,
        (0.0, 10_000.0),
    );
    supply.probe = minutes(probe);
    changed |= limit_ui(ui, theme, row, &mut supply.limit);
    changed |= row.number_ui(
        ui,
        theme,
        "Limit within a factor",
        Measure::Plain,
        &mut supply.limit_factor,
        (1.0, 100.0),
    );
    for (name, flag) in [
        (
            "Latches off or retries after an overload",
            &mut supply.latches,
        ),
        ("Can sink current from a higher rail", &mut supply.sinks),
        ("May feed more than is drawn", &mut supply.more_members),
    ] {
        changed |= row.tick_ui(ui, theme, name, flag);
    }
    changed.then_some(supply)
}

fn limit_ui(ui: &mut Ui, theme: &Theme, row: &mut Row<'_>, limit: &mut LimitMode) -> bool {
    let modes = [
        ("Not known", "Current limit not known"),
        ("None", "No current limit"),
        ("Constant", "Constant current limit"),
        ("Foldback", "Current limit folds back"),
    ];
    let chosen = match limit {
        LimitMode::Unknown => 0,
        LimitMode::None => 1,
        LimitMode::Constant { .. } => 2,
        LimitMode::Foldback { .. } => 3,
    };
    ui.end_row();
    let picked = ui
        .vertical(|ui| {
            label_ui(ui, "Current limit", theme.label(), theme.colour.muted);
            choice_ui(ui, theme, &modes, chosen)
        })
        .inner;
    let mut changed = picked.is_some();
    let known = match *limit {
        LimitMode::Constant { limit } | LimitMode::Foldback { limit, .. } => limit,
        LimitMode::Unknown | LimitMode::None => None,
    };
    match picked {
        Some(0) => *limit = LimitMode::Unknown,
        Some(1) => *limit = LimitMode::None,
        Some(2) => *limit = LimitMode::Constant { limit: known },
        Some(_) => {
            *limit = LimitMode::Foldback {
                limit: known,
                short_circuit: None,
            };
        }
        None => {}
    }
    let mut ampere_ui = |ui: &mut Ui, name: &str, value: &mut Option<crate::quantity::Amperes>| {
        let mut ampere = value.map(as_amperes);
        let edited = row.maybe_ui(ui, theme, name, Measure::Milliamperes, &mut ampere, LIMIT);
        *value = ampere.map(amperes);
        edited
    };
    match limit {
        LimitMode::Constant { limit } => changed |= ampere_ui(ui, "Limit", limit),
        LimitMode::Foldback {
            limit,
            short_circuit,
        } => {
            changed |= ampere_ui(ui, "Limit", limit);
            changed |= ampere_ui(ui, "Into a dead short", short_circuit);
        }
        LimitMode::Unknown | LimitMode::None => {}
    }
    changed
}
