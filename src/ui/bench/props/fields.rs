//! The fields of a part: two to a row, each taking effect when it is left.

use egui::Ui;

use crate::{
    circuit::Point,
    quantity::{Unit, typed_number},
    ui::{
        kit::{Field, kept_ui, tick_ui},
        theme::Theme,
    },
};

/// The fields of one part.
pub struct Row<'a> {
    key: &'a str,
}

/// What a number counts and how it is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// In the unit itself, with all the ways of typing it.
    In(Unit),
    /// Milliamperes where no unit is typed.
    Milliamperes,
    /// Percent.
    Percent,
    /// A bare number.
    Plain,
}

impl<'a> Row<'a> {
    /// Fields that belong to this designation.
    pub fn new(key: &'a str) -> Self {
        Self { key }
    }

    /// A text field, half a row wide.
    pub fn kept_ui<T>(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        name: &str,
        unit: &str,
        now: &str,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let gap = ui.spacing().item_spacing.x;
        let field = Field {
            name,
            unit,
            width: ((ui.max_rect().width() - gap - 1.0) / 2.0).max(90.0),
            ..Field::default()
        };
        kept_ui(ui, theme, self.key, now, &field, read)
    }

    /// A text that may be anything.
    pub fn text_ui(&mut self, ui: &mut Ui, theme: &Theme, name: &str, now: &mut String) -> bool {
        let read = |text: &str| Ok(text.trim().to_owned());
        let new = self.kept_ui(ui, theme, name, "", now, read);
        new.map(|new| *now = new).is_some()
    }

    /// A point of the sketch; whether it is there is looked at when the part is taken over.
    pub fn point_ui(&mut self, ui: &mut Ui, theme: &Theme, name: &str, now: &mut Point) -> bool {
        let read = |text: &str| Point::typed(text).map_err(|error| error.to_string());
        let new = self.kept_ui(ui, theme, name, "", &now.shown(), read);
        new.map(|new| *now = new).is_some()
    }

    /// A number between two ends.
    pub fn number_ui(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        name: &str,
        measure: Measure,
        now: &mut f64,
        ends: (f64, f64),
    ) -> bool {
        let mut some = Some(*now);
        let read = |text: &str| number(text, measure, ends).map(Some);
        let changed = self.measured_ui(ui, theme, name, measure, &mut some, read);
        *now = some.unwrap_or(*now);
        changed
    }

    /// A number between two ends; empty where it is not known.
    pub fn maybe_ui(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        name: &str,
        measure: Measure,
        now: &mut Option<f64>,
        ends: (f64, f64),
    ) -> bool {
        let read = |text: &str| match text.trim() {
            "" | "?" => Ok(None),
            text => number(text, measure, ends).map(Some),
        };
        self.measured_ui(ui, theme, name, measure, now, read)
    }

    fn measured_ui(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        name: &str,
        measure: Measure,
        now: &mut Option<f64>,
        read: impl Fn(&str) -> Result<Option<f64>, String>,
    ) -> bool {
        let (unit, scale) = match measure {
            Measure::In(unit) => (unit.symbol(), 1.0),
            Measure::Milliamperes => ("mA", 1000.0),
            Measure::Percent => ("%", 1.0),
            Measure::Plain => ("", 1.0),
        };
        let text = now.map_or_else(String::new, |number| plain(number * scale));
        let new = self.kept_ui(ui, theme, name, unit, &text, read);
        new.map(|new| *now = new).is_some()
    }

    /// A box to tick.
    pub fn tick_ui(&mut self, ui: &mut Ui, theme: &Theme, name: &str, now: &mut bool) -> bool {
        let clicked = tick_ui(ui, theme, name, *now).clicked();
        *now ^= clicked;
        clicked
    }
}

/// A number without superfluous figures.
pub fn plain(number: f64) -> String {
    let rounded = format!("{number:.6}");
    let trimmed = rounded.trim_end_matches('0').trim_end_matches('.');
    if trimmed.is_empty() || trimmed == "-" || trimmed == "-0" {
        "0".to_owned()
    } else {
        trimmed.to_owned()
    }
}

fn number(text: &str, measure: Measure, (low, high): (f64, f64)) -> Result<f64, String> {
    let bare = text.trim().replace(',', ".").parse::<f64>();
    let number = match (measure, bare) {
        (Measure::In(unit), _) => typed_number(text, unit).map_err(|error| error.to_string())?,
        (Measure::Milliamperes, Ok(milli)) => milli / 1000.0,
        (Measure::Milliamperes, Err(_)) => {
            typed_number(text, Unit::Amperes).map_err(|error| error.to_string())?
        }
        (Measure::Percent | Measure::Plain, Ok(number)) => number,
        (Measure::Plain, Err(_)) => return Err("Type a number, e.g. 2".to_owned()),
        (Measure::Percent, Err(_)) => return Err("Type a number of percent, e.g. 2".to_owned()),
    };
    if number.is_finite() && (low..=high).contains(&number) {
        return Ok(number);
    }
    let scale = if measure == Measure::Milliamperes {
        1000.0
    } else {
        1.0
    };
    Err(format!(
        "Between {} and {}",
        plain(low * scale),
        plain(high * scale)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn milliamperes_may_go_without_their_unit() {
        let read = |text: &str| number(text, Measure::Milliamperes, (0.0, 10.0));
        assert_eq!(read("140"), Ok(0.14));
        assert_eq!(read("0.14 A"), Ok(0.14));
        assert!(read("140 V").is_err());
        assert!(read("99999999").is_err());
        assert!(read("NaN").is_err() && read("inf").is_err());
    }

    #[test]
    fn numbers_are_shown_plainly() {
        assert_eq!(plain(1.40), "1.4");
        assert_eq!(plain(0.0), "0");
        assert_eq!(plain(-0.0), "0");
        assert_eq!(plain(1800.0), "1800");
    }
}
