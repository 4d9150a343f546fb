//! Figures of a sum: three digits each, and as many more as it takes for the sum to come out from what is printed.

use serde::Serialize;

use crate::quantity::{
    Unit,
    format::{prefix_for, si},
};

/// What is done with two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Operator {
    /// left + right
    Plus,
    /// left − right
    Minus,
    /// left × right
    Times,
    /// left ÷ right
    Over,
}

/// A sum with the unrounded numbers of the solve, SI units.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Equation {
    /// First number.
    pub left: f64,
    /// What is done.
    pub operator: Operator,
    /// Second number.
    pub right: f64,
    /// What comes out.
    pub result: f64,
}

/// A number and its unit.
pub type Figure = (f64, Unit);

/// Ohms above which nothing joins two points.
pub const OPEN: f64 = 5e6;

/// Three digits with a fitting prefix.
///
/// ```
/// use pinchpoint::{explain::sum::figures::three, quantity::Unit};
/// assert_eq!(three((1.3714, Unit::Ohms)), "1.37 Ω");
/// assert_eq!(three((0.0590, Unit::Amperes)), "59.0 mA");
/// assert_eq!(three((8.996, Unit::Volts)), "9.00 V");
/// ```
pub fn three(figure: Figure) -> String {
    printed(figure, third(figure.0)).0
}

/// The worth of the third digit.
fn third(value: f64) -> f64 {
    let magnitude = value.abs().max(1e-9);
    let step = 10f64.powi(magnitude.log10().floor() as i32 - 2);
    // 9.996 is 10.0, with one digit less behind the point.
    if (magnitude / step).round() >= 1000.0 {
        10.0 * step
    } else {
        step
    }
}

/// Share of a result below which what is added or taken away is shown by the result's own digits.
const NO_DIGIT: f64 = 1e-4;

/// What is too small to be told from nothing.
fn nothing(unit: Unit) -> f64 {
    match unit {
        Unit::Volts => 5e-7,
        Unit::Ohms => 1e-6,
        Unit::Amperes | Unit::Metres | Unit::Minutes => 1e-9,
    }
}

/// A number to the nearest step (finer where its prefix gives more), and what the print says exactly.
fn printed((value, unit): Figure, step: f64) -> (String, f64) {
    if !value.is_finite() {
        return (si(value, unit), value);
    }
    let rounded = (value / step).round() * step;
    let size = rounded.abs();
    if size < nothing(unit) {
        return (format!("0 {}", unit.symbol()), 0.0);
    }
    // From a hair below each prefix's beginning: 0.1 mV to the step may come out as 0.9999….
    let (scale, prefix) = prefix_for(size * (1.0 + 1e-6), unit);
    let digits = (scale / step).log10().round().clamp(0.0, 9.0) as usize;
    let number = format!("{:.digits$}", value / scale);
    let said = number.parse::<f64>().unwrap_or(value / scale) * scale;
    (format!("{number} {prefix}{}", unit.symbol()), said)
}

/// Prints two numbers and their result, with one more digit where that makes what is printed come out to the last
/// printed digit.
fn agreed(
    equation: Equation,
    units: [Unit; 3],
    steps: [f64; 3],
    finer: [f64; 3],
) -> (String, Equation) {
    let at = |more: i32| {
        let step = |place: usize| steps[place] / finer[place].powi(more);
        let (left, a) = printed((equation.left, units[0]), step(0));
        let (right, b) = printed((equation.right, units[1]), step(1));
        let (result, c) = printed((equation.result, units[2]), step(2));
        let (sign, comes_out) = match equation.operator {
            Operator::Plus => ('+', a + b),
            Operator::Minus => ('−', a - b),
            Operator::Times => ('×', a * b),
            Operator::Over => ('÷', a / b),
        };
        let agrees = (comes_out - c).abs() <= 0.5001 * step(2);
        (format!("{left} {sign} {right} = {result}"), agrees)
    };
    let (short, agrees) = at(0);
    let text = if agrees {
        short
    } else {
        let (long, agrees) = at(1);
        if agrees { long } else { short }
    };
    (text, equation)
}

/// `9.00 V − 0.80 V = 8.20 V`: all three on one step, the second with two digits at least.
pub fn difference(left: f64, right: f64, unit: Unit) -> (String, Equation) {
    let result = left - right;
    let step = if right.abs() < NO_DIGIT * result.abs() {
        third(result)
    } else {
        third(result).min(10.0 * third(right))
    };
    let equation = Equation {
        left,
        operator: Operator::Minus,
        right,
        result,
    };
    agreed(equation, [unit; 3], [step; 3], [10.0; 3])
}

/// `0.62 V + 0.04 V = 0.66 V`.
pub fn total(left: f64, right: f64, unit: Unit) -> (String, Equation) {
    let result = left + right;
    let step = third(result)
        .min(10.0 * third(right))
        .min(10.0 * third(left));
    let equation = Equation {
        left,
        operator: Operator::Plus,
        right,
        result,
    };
    agreed(equation, [unit; 3], [step; 3], [10.0; 3])
}

/// `8.20 V ÷ 14.0 Ω = 586 mA`.
pub fn quotient(left: Figure, right: Figure, unit: Unit) -> (String, Equation) {
    let equation = Equation {
        left: left.0,
        operator: Operator::Over,
        right: right.0,
        result: left.0 / right.0,
    };
    factors(equation, [left.1, right.1, unit])
}

/// `586 mA × 1.37 Ω = 803 mV`.
pub fn product(left: Figure, right: Figure, unit: Unit) -> (String, Equation) {
    let equation = Equation {
        left: left.0,
        operator: Operator::Times,
        right: right.0,
        result: left.0 * right.0,
    };
    factors(equation, [left.1, right.1, unit])
}

/// Three digits of the result; as many of the factors as it takes.
fn factors(equation: Equation, units: [Unit; 3]) -> (String, Equation) {
    let steps = [equation.left, equation.right, equation.result].map(third);
    agreed(equation, units, steps, [10.0, 10.0, 1.0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_comes_out() {
        for (left, right, text) in [
            (9.0, 0.8, "9.00 V − 800 mV = 8.20 V"),
            (0.1343, 0.0017, "134.3 mV − 1.7 mV = 132.6 mV"),
            (4.9953, 4.98, "4.9953 V − 4.9800 V = 15.3 mV"),
            (9.0, 0.0349, "9.000 V − 35 mV = 8.965 V"),
            (5.0, 0.0, "5.00 V − 0 V = 5.00 V"),
        ] {
            assert_eq!(difference(left, right, Unit::Volts).0, text);
        }
        let volts = |value| (value, Unit::Volts);
        let (text, _) = quotient(volts(0.62883), (0.13266, Unit::Amperes), Unit::Ohms);
        assert_eq!(text, "628.8 mV ÷ 132.7 mA = 4.74 Ω");
        let (text, _) = quotient(volts(0.8), (0.5, Unit::Amperes), Unit::Ohms);
        assert_eq!(text, "800 mV ÷ 500 mA = 1.60 Ω");
    }

    #[test]
    fn nothing_is_nothing() {
        assert_eq!(three((-9.7e-9, Unit::Volts)), "0 V");
        assert_eq!(three((1.3e-6, Unit::Amperes)), "1.30 µA");
        assert_eq!(three((0.2, Unit::Ohms)), "0.200 Ω");
        assert_eq!(three((999.96, Unit::Ohms)), "1.00 kΩ");
        assert_eq!(three((f64::NAN, Unit::Volts)), "no value");
    }
}
