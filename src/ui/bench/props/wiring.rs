//! Fields of wires, connectors, splices, ground points and fuses.

use egui::Ui;

use super::fields::{Measure, Row, plain};
use crate::{
    circuit::{Colour, ConductorSize, Connector, Fuse, Ground, Splice, Wire},
    quantity::{
        Unit,
        units::{
            amperes, as_amperes, as_metres, as_minutes, as_ohms, as_square_millimetres, metres,
            minutes, ohms, square_millimetres,
        },
    },
    ui::theme::Theme,
};

/// Longest wire, metres.
const LENGTH: (f64, f64) = (0.0, 100.0);
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
    if let Some(size) = row.kept_ui(ui, theme, "Size", "", &size_text(wire.size), size) {
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

fn size_text(size: ConductorSize) -> String {
    match size {
        ConductorSize::SquareMillimetres(area) => {
            format!("{} mm²", plain(as_square_millimetres(area)))
        }
        ConductorSize::Awg(gauge) => format!("AWG {gauge}"),
    }
}

/// Reads `0.5`, `0,5 mm2`, `AWG 20`.
fn size(text: &str) -> Result<ConductorSize, String> {
    let wrong = || "Type square millimetres, e.g. 0.5, or a gauge, e.g. AWG 20".to_owned();
    let text = text.trim().to_ascii_lowercase();
    if let Some(gauge) = text.strip_prefix("awg") {
        let gauge: i8 = gauge.trim().parse().map_err(|_| wrong())?;
        return if (-3..=40).contains(&gauge) {
            Ok(ConductorSize::Awg(gauge))
        } else {
            Err("Gauges run from -3 (4/0) to 40".to_owned())
        };
    }
    let number = text
        .trim_end_matches("mm²")
        .trim_end_matches("mm2")
        .trim()
        .replace(',', ".");
    let area: f64 = number.parse().map_err(|_| wrong())?;
    if (0.05..=120.0).contains(&area) {
        Ok(ConductorSize::SquareMillimetres(square_millimetres(area)))
    } else {
        Err("Between 0.05 and 120 mm²".to_owned())
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_square_millimetres_or_gauge() {
        assert_eq!(size("AWG 20"), Ok(ConductorSize::Awg(20)));
        assert_eq!(size_text(size("0,5 mm²").unwrap()), "0.5 mm²");
        for wrong in ["", "thin", "awg", "awg 99", "0", "-1", "nan", "inf"] {
            assert!(size(wrong).is_err(), "{wrong}");
        }
    }
}
