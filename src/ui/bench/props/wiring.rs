//! Fields of wires, connectors, splices, ground points and fuses.

use egui::Ui;

use super::fields::{Measure, Row};
use crate::{
    circuit::{Colour, ConductorSize, Connector, Fuse, Ground, Splice, Wire, limits::METRES},
    quantity::{
        Unit,
        units::{amperes, as_amperes, as_metres, as_minutes, as_ohms, metres, minutes, ohms},
    },
    ui::theme::Theme,
};

/// Length of a wire, metres.
const LENGTH: (f64, f64) = (*METRES.start(), *METRES.end());
/// Resistances of contacts, straps and fuses.
const SMALL_OHMS: (f64, f64) = (0.0, 1000.0);
/// Pins of a connector whose contacts are listed.
const SHOWN_PINS: usize = 32;
/// Minutes to get somewhere.
const MINUTES: (f64, f64) = (0.0, 10_000.0);

/// Fields of a wire; answers it when something was changed.
pub fn wire_ui(ui: &mut Ui, theme: &Theme, row: &mut Row<'_>, mut wire: Wire) -> Option<Wire> {
    let mut length = wire.length.map(as_metres);
    let mut changed = row.maybe_ui(
        ui,
        theme,
        "Length (empty: not known)",
        Measure::In(Unit::Metres),
        &mut length,
        LENGTH,
    );
    wire.length = length.map(metres);
    let read = |text: &str| {
        text.parse::<ConductorSize>()
            .map_err(|error| error.to_string())
    };
    if let Some(size) = row.kept_ui(ui, theme, "Size", "", &wire.size.to_string(), read) {
        wire.size = size;
        changed = true;
    }
    let colour = wire
        .colour
        .map_or_else(String::new, |colour| colour.to_string());
    let read = |text: &str| match text.trim() {
        "" => Ok(None),
        text => text
            .parse::<Colour>()
            .map(Some)
            .map_err(|error| error.to_string()),
    };
    if let Some(colour) = row.kept_ui(ui, theme, "Colour", "", &colour, read) {
        wire.colour = colour;
        changed = true;
    }
    changed |= row.text_ui(ui, theme, "Circuit number", &mut wire.circuit_number);
    changed |= row.text_ui(ui, theme, "Bundle", &mut wire.bundle);
    changed.then_some(wire)
}

/// Fields of a connector; answers it when something was changed.
pub fn connector_ui(
    ui: &mut Ui,
    theme: &Theme,
    row: &mut Row<'_>,
    mut connector: Connector,
) -> Option<Connector> {
    let mut changed = row.text_ui(ui, theme, "Name", &mut connector.name);
    changed |= row.text_ui(ui, theme, "Where it is", &mut connector.place);
    let mut access = as_minutes(connector.access);
    changed |= row.number_ui(
        ui,
        theme,
        "Minutes to reach",
        Measure::In(Unit::Minutes),
        &mut access,
        MINUTES,
    );
    connector.access = minutes(access);
    let single = connector.pins.len() == 1;
    for (index, pin) in connector.pins.iter_mut().enumerate().take(SHOWN_PINS) {
        let mut contact = as_ohms(pin.contact);
        let name = if single {
            "Contact".to_owned()
        } else {
            format!("Contact of pin {}", index + 1)
        };
        let edited = row.number_ui(
            ui,
            theme,
            &name,
            Measure::In(Unit::Ohms),
            &mut contact,
            SMALL_OHMS,
        );
        if edited {
            pin.contact = ohms(contact);
            changed = true;
        }
    }
    changed |= row.tick_ui(
        ui,
        theme,
        "Sealed: do not back-probe",
        &mut connector.sealed,
    );
    changed.then_some(connector)
}

/// Fields of a splice; answers it when something was changed.
pub fn splice_ui(
    ui: &mut Ui,
    theme: &Theme,
    row: &mut Row<'_>,
    mut splice: Splice,
) -> Option<Splice> {
    let mut changed = row.text_ui(ui, theme, "Where it is", &mut splice.place);
    changed |= row.tick_ui(
        ui,
        theme,
        "May feed more than is drawn",
        &mut splice.more_members,
    );
    changed.then_some(splice)
}

/// Fields of a ground point; answers it when something was changed.
pub fn ground_ui(
    ui: &mut Ui,
    theme: &Theme,
    row: &mut Row<'_>,
    mut ground: Ground,
) -> Option<Ground> {
    let mut changed = row.text_ui(ui, theme, "Where it is", &mut ground.place);
    changed |= row.point_ui(ui, theme, "Grounds the point", &mut ground.at);
    let mut strap = as_ohms(ground.strap);
    changed |= row.number_ui(
        ui,
        theme,
        "Strap",
        Measure::In(Unit::Ohms),
        &mut strap,
        SMALL_OHMS,
    );
    ground.strap = ohms(strap);
    changed.then_some(ground)
}

/// Fields of a fuse; answers it when something was changed.
pub fn fuse_ui(ui: &mut Ui, theme: &Theme, row: &mut Row<'_>, mut fuse: Fuse) -> Option<Fuse> {
    let mut rated = as_amperes(fuse.rated);
    let mut changed = row.number_ui(
        ui,
        theme,
        "Rated",
        Measure::Milliamperes,
        &mut rated,
        (0.001, 500.0),
    );
    fuse.rated = amperes(rated);
    let mut cold = as_ohms(fuse.resistance);
    changed |= row.number_ui(
        ui,
        theme,
        "Cold",
        Measure::In(Unit::Ohms),
        &mut cold,
        SMALL_OHMS,
    );
    fuse.resistance = ohms(cold);
    changed.then_some(fuse)
}
