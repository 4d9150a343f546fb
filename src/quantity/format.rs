//! How numbers are shown: like a meter shows them, and never more certain than they are.

use super::{Unit, parse::LARGEST};

/// Shown in place of what is not a number.
const NO_VALUE: &str = "no value";

/// A computed value with about three digits and a fitting prefix.
///
/// ```
/// use pinchpoint::quantity::{Unit, format::si};
/// assert_eq!(si(0.669, Unit::Volts), "669 mV");
/// assert_eq!(si(8.94, Unit::Volts), "8.94 V");
/// assert_eq!(si(4.58, Unit::Ohms), "4.6 Ω");
/// assert_eq!(si(1300.0, Unit::Ohms), "1.30 kΩ");
/// assert_eq!(si(0.139, Unit::Amperes), "139 mA");
/// assert_eq!(si(0.9996, Unit::Volts), "1.00 V");
/// ```
pub fn si(value: f64, unit: Unit) -> String {
    let (number, symbol) = split(value, unit);
    join(&number, &symbol)
}

/// A reading with all the digits that were typed (up to ten).
///
/// ```
/// use pinchpoint::quantity::{Unit, format::as_read};
/// assert_eq!(as_read(4.995, Unit::Volts), "4.995 V");
/// assert_eq!(as_read(0.0123, Unit::Volts), "12.3 mV");
/// assert_eq!(as_read(4700.0, Unit::Ohms), "4.7 kΩ");
/// assert_eq!(as_read(1e308, Unit::Volts), "1e308 V");
/// ```
pub fn as_read(value: f64, unit: Unit) -> String {
    if !value.is_finite() {
        return si(value, unit);
    }
    let (scale, prefix) = if unit.is_electrical() {
        prefix_for(value, unit)
    } else {
        (1.0, "")
    };
    let scaled = significant(value / scale, 10) + 0.0;
    let symbol = unit.symbol();
    if is_far(value) || (value != 0.0 && value.abs() < LEAST) {
        format!("{scaled:e} {prefix}{symbol}")
    } else {
        format!("{scaled} {prefix}{symbol}")
    }
}

/// A reading with the digits with which it was noted, `step` being worth the last of them; as [`as_read`] where that is
/// not known.
///
/// ```
/// use pinchpoint::quantity::{Unit, format::as_noted};
/// assert_eq!(as_noted(0.3, Some(0.01), Unit::Volts), "0.30 V");
/// assert_eq!(as_noted(4700.0, Some(100.0), Unit::Ohms), "4.7 kΩ");
/// assert_eq!(as_noted(-0.0001, Some(0.0001), Unit::Volts), "-0.1 mV");
/// assert_eq!(as_noted(0.0, Some(0.0001), Unit::Volts), "0.0 mV");
/// assert_eq!(as_noted(0.3, None, Unit::Volts), "300 mV");
/// ```
pub fn as_noted(value: f64, step: Option<f64>, unit: Unit) -> String {
    let Some(step) = usable(value, step) else {
        return as_read(value, unit);
    };
    // The first prefix of which the last digit is no more than one. Digits past the thousandth of a small value are those of
    // a range in thousandths.
    let thousandths = unit != Unit::Ohms && step < 0.999e-3 && value.abs() < 1.0;
    let (scale, prefix) = [(1.0, ""), (1e3, "k"), (1e6, "M")]
        .into_iter()
        .find(|(scale, _)| step <= 1.001 * scale)
        .filter(|_| !thousandths)
        .unwrap_or(if thousandths { (1e-3, "m") } else { (1e9, "G") });
    to_step(value, step, (scale, prefix), unit)
}

/// A small value without a prefix, to stand beside one that has none: with the digits with which it was noted, else to the
/// thousandth, and finer where that would leave less than two digits. From one on as [`si`].
///
/// ```
/// use pinchpoint::quantity::{Unit, format::without_prefix};
/// assert_eq!(without_prefix(0.8204, Some(1e-4), Unit::Volts), "0.8204 V");
/// assert_eq!(without_prefix(0.8, None, Unit::Volts), "0.800 V");
/// assert_eq!(without_prefix(0.0004, None, Unit::Volts), "0.00040 V");
/// assert_eq!(without_prefix(-0.0001, Some(1e-3), Unit::Volts), "0.000 V");
/// assert_eq!(without_prefix(0.8, Some(1e-300), Unit::Volts), "0.800 V");
/// assert_eq!(without_prefix(12.0, None, Unit::Volts), "12.0 V");
/// ```
pub fn without_prefix(value: f64, step: Option<f64>, unit: Unit) -> String {
    let step = match usable(value, step) {
        Some(step) => step,
        None if value.is_nan() || value.abs() >= 0.9995 => return si(value, unit),
        None if value.abs() < LEAST || value.abs() >= 0.01 => 1e-3,
        None => 10f64.powf(value.abs().log10().floor() - 1.0),
    };
    to_step(value, step, (1.0, ""), unit)
}

/// What the last digit is worth, where digits can be shown by it.
fn usable(value: f64, step: Option<f64>) -> Option<f64> {
    let usable = |step: &f64| value.is_finite() && !is_far(value) && (LEAST..1e9).contains(step);
    step.filter(usable)
}

fn to_step(value: f64, step: f64, (scale, prefix): (f64, &str), unit: Unit) -> String {
    let places = (scale / step).log10().round().max(0.0) as usize;
    format!("{} {prefix}{}", fixed(value / scale, places), unit.symbol())
}

/// An interval with its unit once where both ends share it.
///
/// ```
/// use pinchpoint::quantity::{Unit, format::interval};
/// assert_eq!(interval(4.0, 5.4, Unit::Ohms), "4.0 to 5.4 Ω");
/// assert_eq!(interval(0.82, 1.2, Unit::Volts), "820 mV to 1.20 V");
/// assert_eq!(interval(4.01, 4.02, Unit::Ohms), "4.0 Ω");
/// ```
pub fn interval(low: f64, high: f64, unit: Unit) -> String {
    let (low_number, low_symbol) = split(low, unit);
    let (high_number, high_symbol) = split(high, unit);
    if low_symbol != high_symbol {
        format!(
            "{} to {}",
            join(&low_number, &low_symbol),
            join(&high_number, &high_symbol)
        )
    } else if low_number == high_number {
        join(&high_number, &high_symbol)
    } else {
        format!("{low_number} to {}", join(&high_number, &high_symbol))
    }
}

/// A probability (0 to 1) in whole percent; never 0 % and never 100 %.
///
/// ```
/// use pinchpoint::quantity::format::percent;
/// assert_eq!(percent(0.004), "under 1 %");
/// assert_eq!(percent(0.374), "37 %");
/// assert_eq!(percent(0.9999), "over 99 %");
/// ```
pub fn percent(probability: f64) -> String {
    if probability.is_nan() {
        NO_VALUE.to_owned()
    } else if probability < 0.01 {
        "under 1 %".to_owned()
    } else if probability > 0.99 {
        "over 99 %".to_owned()
    } else {
        format!("{:.0} %", probability * 100.0)
    }
}

/// Working time in whole minutes.
///
/// ```
/// use pinchpoint::quantity::format::minutes;
/// assert_eq!(minutes(14.2), "14 min");
/// assert_eq!(minutes(65.0), "1 h 05");
/// assert_eq!(minutes(0.3), "under 1 min");
/// ```
pub fn minutes(minutes: f64) -> String {
    let whole = minutes.abs().round();
    let sign = if minutes < 0.0 { "-" } else { "" };
    if !minutes.is_finite() {
        NO_VALUE.to_owned()
    } else if minutes == 0.0 {
        "0 min".to_owned()
    } else if minutes.abs() < 1.0 && minutes > 0.0 {
        "under 1 min".to_owned()
    } else if is_far(minutes) {
        format!("{} min", fixed(minutes, 0))
    } else if whole < 60.0 {
        format!("{sign}{whole} min")
    } else {
        format!("{sign}{} h {:02}", (whole / 60.0).floor(), whole % 60.0)
    }
}

/// Minutes of practice, to the tenth, so that steps and their sum agree to a tenth or two.
///
/// ```
/// use pinchpoint::quantity::format::clock;
/// assert_eq!(clock(2.5), "2.5 min");
/// assert_eq!(clock(14.0), "14 min");
/// assert_eq!(clock(0.04), "0 min");
/// ```
pub fn clock(minutes: f64) -> String {
    let tenths = fixed(minutes, 1);
    format!("{} min", tenths.strip_suffix(".0").unwrap_or(&tenths))
}

fn join(number: &str, symbol: &str) -> String {
    if symbol.is_empty() {
        number.to_owned()
    } else {
        format!("{number} {symbol}")
    }
}

/// Number and symbol apart; the symbol is empty where there is no number or it is part of the text.
fn split(value: f64, unit: Unit) -> (String, String) {
    if value.is_nan() {
        return (NO_VALUE.to_owned(), String::new());
    }
    if value.is_infinite() {
        return (
            if value > 0.0 { "OL" } else { "-OL" }.to_owned(),
            unit.symbol().to_owned(),
        );
    }
    match unit {
        Unit::Minutes => (minutes(value), String::new()),
        Unit::Metres => (
            fixed(value, if value.abs() < 9.995 { 2 } else { 1 }),
            "m".to_owned(),
        ),
        Unit::Volts | Unit::Ohms | Unit::Amperes => {
            let rounded = significant(value, 3);
            let (scale, prefix) = prefix_for(rounded, unit);
            // The decimals come from the rounded number (0.9996 V is 1.00 V), the digits from the number itself:
            // rounding twice would turn 9.348 Ω into 9.4 Ω.
            let places = decimals(rounded / scale, scale, unit);
            (
                fixed(value / scale, places),
                format!("{prefix}{}", unit.symbol()),
            )
        }
    }
}

/// Beyond what anybody types or reads: shown as a power of ten.
fn is_far(value: f64) -> bool {
    value.abs() > LARGEST
}

/// What is below a nano-unit is zero.
const LEAST: f64 = 1e-9;

/// Prefix by magnitude. Ohms stay plain down to 0.1 Ω, as on a meter; so does what is zero and what is shown as a power of ten.
pub fn prefix_for(value: f64, unit: Unit) -> (f64, &'static str) {
    let plain_from = if unit == Unit::Ohms { 0.1 } else { 1.0 };
    match value.abs() {
        _ if is_far(value) => (1.0, ""),
        a if a >= 1e9 => (1e9, "G"),
        a if a >= 1e6 => (1e6, "M"),
        a if a >= 1e3 => (1e3, "k"),
        a if a >= plain_from || a < LEAST => (1.0, ""),
        a if a >= 1e-3 => (1e-3, "m"),
        _ => (1e-6, "µ"),
    }
}

fn decimals(scaled: f64, scale: f64, unit: Unit) -> usize {
    let plain_ohms = unit == Unit::Ohms && scale == 1.0;
    match scaled.abs() {
        a if a >= 100.0 => 0,
        a if a >= 10.0 || (plain_ohms && a >= 1.0) => 1,
        _ => 2,
    }
}

/// Fixed decimals without a negative zero; a power of ten where that would be a row of digits.
fn fixed(value: f64, decimals: usize) -> String {
    if is_far(value) {
        return format!("{value:.2e}");
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if !rest.contains(|c: char| matches!(c, '1'..='9')) => rest.to_owned(),
        _ => text,
    }
}

/// Rounds to a number of significant digits, through the decimal text so that the result is the nearest double.
fn significant(value: f64, digits: usize) -> f64 {
    format!("{value:.*e}", digits.saturating_sub(1))
        .parse()
        .unwrap_or(value)
}
