//! Reading a printed sum back: every `a op b = c` in a line is reckoned again, as exactly as its digits allow.

/// What a line was found to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Checked {
    /// Words only.
    Words,
    /// A sum that comes out.
    Sum,
}

/// A printed number with its unit: SI value, half of its last digit's worth, and the unit's letter.
#[derive(Clone, Copy, Debug)]
struct Printed {
    value: f64,
    half: f64,
    unit: char,
}

/// Reckons the sum of a line again.
///
/// # Errors
/// The line and what is wrong: it does not come out, or its units do not.
pub fn check_line(line: &str) -> Result<Checked, String> {
    let Some((sum, after)) = line.split_once(" = ") else {
        return Ok(Checked::Words);
    };
    let result = number(&mut after.split(' ')).ok_or_else(|| format!("no result: {line}"))?;
    // Backwards from the equals sign: number, operator, number, and so on for as long as operators come.
    let words: Vec<&str> = sum.split(' ').collect();
    let mut at = words.len();
    let mut terms = Vec::new();
    let mut operators = Vec::new();
    loop {
        if at < 2 {
            return Err(format!("too few terms: {line}"));
        }
        let term = number(&mut words[at - 2..at].iter().copied());
        terms.push(term.ok_or_else(|| format!("no term: {line}"))?);
        at -= 2;
        match at.checked_sub(1).map(|before| words[before]) {
            Some(sign @ ("+" | "−" | "×" | "÷")) => operators.push(sign),
            _ => break,
        }
        at -= 1;
    }
    if operators.is_empty() {
        return Err(format!("an equals sign without a sum: {line}"));
    }
    terms.reverse();
    operators.reverse();
    let mut value = terms[0].value;
    let mut slack = terms[0].half;
    let mut unit = terms[0].unit;
    for (sign, term) in operators.iter().zip(&terms[1..]) {
        let (a, b) = (value, term.value);
        let relative = slack / a.abs().max(1e-30) + term.half / b.abs().max(1e-30);
        (value, slack, unit) = match (*sign, unit, term.unit) {
            ("+", x, y) if x == y => (a + b, slack + term.half, x),
            ("−", x, y) if x == y => (a - b, slack + term.half, x),
            ("×", 'A', 'Ω') | ("×", 'Ω', 'A') => (a * b, (a * b).abs() * relative, 'V'),
            ("×", 'Ω', 'Ω') => (a * b, (a * b).abs() * relative, 'q'),
            ("÷", 'V', 'A') => (a / b, (a / b).abs() * relative, 'Ω'),
            ("÷", 'V', 'Ω') => (a / b, (a / b).abs() * relative, 'A'),
            ("÷", 'q', 'Ω') => (a / b, (a / b).abs() * relative, 'Ω'),
            _ => return Err(format!("units do not fit: {line}")),
        };
    }
    if unit != result.unit {
        return Err(format!("the result's unit does not fit: {line}"));
    }
    let off = (value - result.value).abs();
    if off > 1.01 * (slack + result.half) + 1e-12 {
        return Err(format!("{value} is not {}: {line}", result.value));
    }
    Ok(Checked::Sum)
}

/// A number and its unit from two words.
fn number<'a>(words: &mut impl Iterator<Item = &'a str>) -> Option<Printed> {
    let (figure, unit) = (words.next()?, words.next()?);
    let unit = unit.trim_end_matches(['.', ',', ':']);
    let mut letters = unit.chars().rev();
    let letter = letters.next()?;
    let scale = match letters.next() {
        None => 1.0,
        Some('µ') => 1e-6,
        Some('m') => 1e-3,
        Some('k') => 1e3,
        Some('M') => 1e6,
        Some(_) => return None,
    };
    let value: f64 = figure.parse().ok()?;
    let decimals = figure.split_once('.').map_or(0, |(_, d)| d.len());
    Some(Printed {
        value: value * scale,
        half: 0.5 * scale * 10f64.powi(-(decimals as i32)),
        unit: letter,
    })
}

#[cfg(test)]
mod tests {
    use super::{Checked, check_line};

    #[test]
    fn sums_are_found_and_judged() {
        for line in [
            "9.00 V − 800 mV = 8.20 V is lost.",
            "There: 8.20 V ÷ 14.0 Ω = 586 mA flows.",
            "So 1.00 kΩ × 2.20 Ω ÷ 998 Ω = 2.20 Ω.",
        ] {
            assert_eq!(check_line(line), Ok(Checked::Sum), "{line}");
        }
        assert_eq!(check_line("M1 is at its limit."), Ok(Checked::Words));
        for line in [
            "9.00 V − 800 mV = 8.30 V is lost.",
            "8.20 V ÷ 14.0 Ω = 586 V.",
            "8.20 V + 14.0 Ω = 22.2 V",
            "R = V",
        ] {
            assert!(check_line(line).is_err(), "{line}");
        }
    }
}
