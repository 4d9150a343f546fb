//! Fields of sensors and of other rails.

use egui::Ui;

use super::fields::{Measure, Row};
use crate::{
    circuit::{Load, LoadModel, Rail, stock},
    quantity::{
        Unit,
        units::{amperes, as_amperes, as_milliamperes, as_ohms, as_volts, ohms, volts},
    },
    ui::{kit::choice_ui, theme::Theme},
};

/// Ohms of a sensor.
const LOAD_OHMS: (f64, f64) = (0.01, 1e8);
/// Draw of a sensor, amperes.
const DRAW: (f64, f64) = (0.0, 20.0);
/// Volts of rails and knees.
const VOLTS: (f64, f64) = (0.0, 60.0);

/// Fields of a sensor; answers it when something was changed.
pub fn load_ui(ui: &mut Ui, theme: &Theme, row: &mut Row<'_>, mut load: Load) -> Option<Load> {
    let mut changed = row.text_ui(ui, theme, "Name", &mut load.name);
    let kinds = [
        ("Resistance", "It draws as a resistance"),
        ("Electronic", "It draws a constant current"),
    ];
    let chosen = usize::from(matches!(load.model, LoadModel::Electronic { .. }));
    if let Some(index) = choice_ui(ui, theme, &kinds, chosen) {
        load.model = other_model(load.model, index);
        changed = true;
    }
    match &mut load.model {
        LoadModel::Resistive { resistance } => {
            let mut ohm = as_ohms(*resistance);
            changed |= row.number_ui(
                ui,
                theme,
                "Resistance",
                Measure::In(Unit::Ohms),
                &mut ohm,
                LOAD_OHMS,
            );
            *resistance = ohms(ohm);
        }
        LoadModel::Electronic { draw, knee } => {
            let mut ampere = as_amperes(*draw);
            changed |= row.number_ui(ui, theme, "Draws", Measure::Milliamperes, &mut ampere, DRAW);
            *draw = amperes(ampere);
            let mut volt = as_volts(*knee);
            changed |= row.number_ui(
                ui,
                theme,
                "Steady above",
                Measure::In(Unit::Volts),
                &mut volt,
                VOLTS,
            );
            *knee = volts(volt);
        }
    }
    changed |= row.number_ui(
        ui,
        theme,
        "Spread",
        Measure::Percent,
        &mut load.spread_percent,
        (0.0, 100.0),
    );
    changed |= row.maybe_ui(
        ui,
        theme,
        "Signal tap, 0 to 1 (empty: none)",
        Measure::Plain,
        &mut load.signal_fraction,
        (0.0, 1.0),
    );
    changed |= row.point_ui(ui, theme, "Feed end at", &mut load.feed);
    changed |= row.point_ui(ui, theme, "Return end at", &mut load.ret);
    changed |= row.tick_ui(
        ui,
        theme,
        "An ohmmeter does not see through it",
        &mut load.blocks_ohmmeter,
    );
    changed.then_some(load)
}

/// About the same draw at 5 V in the other way of drawing.
fn other_model(model: LoadModel, index: usize) -> LoadModel {
    match (model, index) {
        (LoadModel::Resistive { resistance }, 1) => {
            stock::electronic(5000.0 / as_ohms(resistance).max(1.0), volts(5.0))
        }
        (LoadModel::Electronic { draw, .. }, 0) => LoadModel::Resistive {
            resistance: ohms(5000.0 / as_milliamperes(draw).max(0.1)),
        },
        (same, _) => same,
    }
}

/// Fields of another rail; answers it when something was changed.
pub fn rail_ui(ui: &mut Ui, theme: &Theme, row: &mut Row<'_>, mut rail: Rail) -> Option<Rail> {
    let mut changed = row.text_ui(ui, theme, "Name", &mut rail.name);
    let mut volt = as_volts(rail.potential);
    changed |= row.number_ui(
        ui,
        theme,
        "Volts",
        Measure::In(Unit::Volts),
        &mut volt,
        VOLTS,
    );
    rail.potential = volts(volt);
    let mut ohm = as_ohms(rail.source);
    changed |= row.number_ui(
        ui,
        theme,
        "Source",
        Measure::In(Unit::Ohms),
        &mut ohm,
        (0.0, 1e6),
    );
    rail.source = ohms(ohm);
    changed.then_some(rail)
}
