//! A list of sensors copied from a spreadsheet or typed: one row each, fields apart by tabs or semicolons, in any order;
//! what a field is follows from how it is written.

use crate::{
    circuit::{
        Circuit, Colour, ConductorSize, LoadModel, Point,
        edit::{self, Addition, EditError},
        limits::METRES,
        point::is_designation,
        stock,
    },
    quantity::{
        Unit, typed_number,
        units::{amperes, metres, ohms},
    },
};

/// Most rows that are taken.
pub const MOST_ROWS: usize = 100;

/// One sensor with its plug and its wire, as far as the row tells of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NewSensor {
    /// Designation.
    pub id: Option<String>,
    /// What people call it.
    pub name: String,
    /// Designation of its plug.
    pub plug: Option<String>,
    /// What it draws.
    pub draw: Option<Draw>,
    /// Length of its wire, m.
    pub length_m: Option<f64>,
    /// Size of its wire.
    pub size: Option<ConductorSize>,
    /// Colour of its wire.
    pub colour: Option<Colour>,
}

impl NewSensor {
    /// Whether the row tells more than a name, which any text would be.
    pub fn is_told(&self) -> bool {
        self.id.is_some()
            || self.plug.is_some()
            || self.draw.is_some()
            || self.length_m.is_some()
            || self.size.is_some()
            || self.colour.is_some()
    }
}

/// What a sensor draws, as a row tells it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    /// A constant current, A.
    Current(f64),
    /// A resistance, Ω.
    Resistance(f64),
}

/// Reads a list. A first row of headings is passed over.
///
/// ```
/// use pinchpoint::app::parts_list::parse;
/// let rows = parse("Sensor\tWire\tDraw\nIntake pressure\t0.7 m\t8 mA\nS4\tOil pressure\t1,2 m\tRDWH\t5k").unwrap();
/// assert_eq!(rows[0].name, "Intake pressure");
/// assert_eq!(rows[1].id.as_deref(), Some("S4"));
/// assert_eq!(rows[1].length_m, Some(1.2));
/// ```
///
/// # Errors
/// The row and what is wrong with it, in words.
pub fn parse(text: &str) -> Result<Vec<NewSensor>, String> {
    let mut rows = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        let fields: Vec<&str> = line.split(['\t', ';']).map(clean).collect();
        let filled = fields.iter().filter(|field| !field.is_empty());
        let heading = |field: &&str| !field.chars().any(|c| c.is_ascii_digit());
        if filled.clone().count() == 0 {
            continue;
        }
        if rows.is_empty()
            && number == 1
            && filled.clone().count() > 1
            && filled.clone().all(heading)
        {
            continue;
        }
        let mut row = NewSensor::default();
        for field in filled {
            put(&mut row, field).map_err(|what| format!("Row {number}: {what}"))?;
        }
        if rows.len() == MOST_ROWS {
            return Err(format!(
                "Row {number}: more than {MOST_ROWS} rows; paste them in pieces"
            ));
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return Err("Paste or type a row per sensor, e.g. Intake pressure; 0.7 m; 8 mA".to_owned());
    }
    Ok(rows)
}

/// A cell without the quotes that spreadsheets put round it.
fn clean(field: &str) -> &str {
    field.trim().trim_matches('"').trim()
}

fn put(row: &mut NewSensor, field: &str) -> Result<(), String> {
    if let Some(draw) = draw(field) {
        return once(&mut row.draw, draw, field);
    }
    if let Some(length) = length(field) {
        if !METRES.contains(&length) {
            let (least, most) = (METRES.start(), METRES.end());
            return Err(format!(
                "“{field}” is no length of a wire: give {least} to {most} m"
            ));
        }
        return once(&mut row.length_m, length, field);
    }
    if let Some(size) = size(field) {
        return once(&mut row.size, size, field);
    }
    if field.len() <= 4
        && field.chars().all(|c| c.is_ascii_uppercase())
        && let Ok(colour) = field.parse::<Colour>()
    {
        return once(&mut row.colour, colour, field);
    }
    let numbered = field.ends_with(|c: char| c.is_ascii_digit()) && field.len() <= 6;
    if numbered && is_designation(field) {
        let plug = field.starts_with(['X', 'C']);
        let place = if plug { &mut row.plug } else { &mut row.id };
        return once(place, field.to_owned(), field);
    }
    let name: String = field.chars().filter(|c| !c.is_control()).take(60).collect();
    if row.name.is_empty() {
        row.name = name;
    } else {
        row.name = format!("{}, {name}", row.name);
    }
    Ok(())
}

fn once<T>(place: &mut Option<T>, value: T, field: &str) -> Result<(), String> {
    if place.is_some() {
        return Err(format!(
            "“{field}” says again what another field says: leave one of them out"
        ));
    }
    *place = Some(value);
    Ok(())
}

/// A number with a unit of current or resistance; a bare number tells nothing.
fn draw(field: &str) -> Option<Draw> {
    if !field.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return None;
    }
    let end = field.trim_end().to_lowercase();
    if end.ends_with('a') {
        return typed_number(field, Unit::Amperes).ok().map(Draw::Current);
    }
    let resistance =
        end.ends_with('ω') || end.ends_with("ohm") || end.ends_with("ohms") || end.contains('k');
    let ohm = typed_number(field, Unit::Ohms)
        .ok()
        .filter(|_| resistance)?;
    (ohm > 0.0).then_some(Draw::Resistance(ohm))
}

fn length(field: &str) -> Option<f64> {
    let unit = field.trim_start_matches(|c: char| c.is_ascii_digit() || ".,+- ".contains(c));
    let metre = matches!(unit, "m" | "cm" | "mm" | "ft");
    let number = field.len() > unit.len() && metre;
    typed_number(field, Unit::Metres).ok().filter(|_| number)
}

/// A size with its unit; a bare number tells nothing.
fn size(field: &str) -> Option<ConductorSize> {
    let text = field.to_ascii_lowercase();
    let told = text.starts_with("awg") || text.ends_with("mm²") || text.ends_with("mm2");
    field.parse().ok().filter(|_| told)
}

/// Hangs the sensors from a point, each with its plug and wire; answers the last one's designation. All or, with an
/// error, some: the caller works on a copy.
///
/// # Errors
/// A point that is not there, or a designation that is taken.
pub(super) fn hang(
    circuit: &mut Circuit,
    after: &Point,
    rows: &[NewSensor],
) -> Result<Option<String>, EditError> {
    let mut last = None;
    for row in rows {
        let sensor = Addition::Sensor {
            plug: true,
            back: None,
        };
        let added = edit::add(circuit, after, &sensor)?;
        let nominal = circuit.nominal_or_5();
        for id in &added.all {
            if let Some(wire) = circuit.wires.iter_mut().find(|wire| wire.id == *id) {
                wire.length = row.length_m.map(metres);
                wire.size = row.size.unwrap_or(wire.size);
                wire.colour = row.colour.or(wire.colour);
            }
        }
        let mut plug = None;
        if let Some(load) = circuit.loads.iter_mut().find(|load| load.id == added.part) {
            load.name.clone_from(&row.name);
            plug = Some(load.feed.part.clone());
            match row.draw {
                Some(Draw::Current(ampere)) => {
                    load.model = LoadModel::Electronic {
                        draw: amperes(ampere),
                        knee: stock::knee(nominal),
                    };
                }
                Some(Draw::Resistance(ohm)) => {
                    load.model = LoadModel::Resistive {
                        resistance: ohms(ohm),
                    };
                }
                None => {}
            }
        }
        if let (Some(old), Some(new)) = (plug, &row.plug) {
            edit::rename(circuit, &old, new)?;
        }
        let mut part = added.part;
        if let Some(new) = &row.id {
            edit::rename(circuit, &part, new)?;
            part.clone_from(new);
        }
        last = Some(part);
    }
    Ok(last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{circuit::quick_feed, quantity::units::volts};

    #[test]
    fn a_row_says_what_it_is_by_how_it_is_written() {
        let rows =
            parse("Oil pressure\t5 kΩ\t120 cm\t0,5 mm²\tBNWH\tX7\tS7\n\nLevel;8mA;AWG 20").unwrap();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].draw, Some(Draw::Resistance(5000.0)));
        assert_eq!(rows[0].plug.as_deref(), Some("X7"));
        assert_eq!(rows[0].length_m, Some(1.2));
        assert_eq!(rows[1].draw, Some(Draw::Current(0.008)));
        assert_eq!(rows[1].size, Some(ConductorSize::Awg(20)));
    }

    #[test]
    fn what_makes_no_sense_names_its_row() {
        for (text, expected) in [
            ("", "a row per sensor"),
            ("Level; 8 mA\nOil; 8 mA; 5 kΩ", "Row 2"),
            ("Level; 4000 m", "Row 1"),
        ] {
            let error = parse(text).unwrap_err();
            assert!(error.contains(expected), "{error}");
        }
    }

    #[test]
    fn rows_become_sensors_with_plugs_and_wires() {
        let mut circuit = quick_feed(volts(5.0), 1, true, false);
        let after: Point = "C1.1f".parse().unwrap();
        let rows = parse("Oil pressure; 0.7 m; S9; X9\nLevel; 8 mA").unwrap();
        assert!(hang(&mut circuit, &after, &rows).unwrap().is_some());
        let load = circuit.load("S9").unwrap();
        assert_eq!(load.name, "Oil pressure");
        assert_eq!(load.feed.to_string(), "X9.1f");
        assert_eq!(circuit.loads.len(), 3);
    }
}
