//! A vehicle's identification number: its form, and the check digit that some markets use.

/// Weights of the 17 places (49 CFR 565, Table IV).
const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

/// What can be said of an identification number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Identity {
    /// Nothing was written.
    Missing,
    /// Not 17 letters and digits without I, O and Q (ISO 3779), as many older and non-road vehicles have.
    OtherForm(String),
    /// Of the usual form, and its check digit fits.
    Fits,
    /// Of the usual form; the check digit does not fit. Only North America requires one (49 CFR 565), so this may be
    /// right all the same.
    CheckDigit {
        /// What stands at place 9.
        given: char,
        /// What would fit.
        fits: char,
    },
}

/// Looks at an identification number. Spaces around it and small letters do not matter.
///
/// ```
/// use pinchpoint::notebook::record::{Identity, identity};
/// // The printed example of 49 CFR 565, Table V.
/// assert_eq!(identity("1G4AH59H45G118341"), Identity::Fits);
/// assert_eq!(identity("1g4ah59h55g118341"), Identity::CheckDigit { given: '5', fits: '4' });
/// ```
pub fn identity(text: &str) -> Identity {
    let number = text.trim().to_uppercase();
    if number.is_empty() {
        return Identity::Missing;
    }
    let length = number.chars().count();
    if length != WEIGHTS.len() {
        let unit = if length == 1 {
            "character"
        } else {
            "characters"
        };
        return Identity::OtherForm(format!("it has {length} {unit}, not 17"));
    }
    let mut sum = 0;
    for (sign, weight) in number.chars().zip(WEIGHTS) {
        match worth(sign) {
            Some(worth) => sum += worth * weight,
            None => {
                let sign = crate::notebook::trouble::visible(&sign.to_string());
                return Identity::OtherForm(format!("“{sign}” is never used in it"));
            }
        }
    }
    let fits = match sum % 11 {
        10 => 'X',
        digit => char::from_digit(digit, 10).unwrap_or('0'),
    };
    // The length was checked above.
    let given = number.chars().nth(8).unwrap_or(' ');
    if given == fits {
        Identity::Fits
    } else {
        Identity::CheckDigit { given, fits }
    }
}

/// The number that a letter or digit counts for (49 CFR 565, Table III); I, O and Q are not used.
fn worth(sign: char) -> Option<u32> {
    Some(match sign {
        '0'..='9' => sign.to_digit(10)?,
        'A'..='H' => u32::from(sign) - u32::from('A') + 1,
        'J'..='N' => u32::from(sign) - u32::from('J') + 1,
        'P' => 7,
        'R' => 9,
        'S'..='Z' => u32::from(sign) - u32::from('S') + 2,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_numbers_fit_and_one_wrong_sign_does_not() {
        // 49 CFR 565 Table V (read); the other three are widely published samples (memory).
        for number in [
            "1G4AH59H45G118341",
            "1M8GDM9AXKP042788",
            "11111111111111111",
            "5GZCZ43D13S812715",
        ] {
            assert_eq!(identity(number), Identity::Fits, "{number}");
            assert_eq!(
                identity(&format!(" {} ", number.to_lowercase())),
                Identity::Fits
            );
        }
        // Two digits swapped in the CFR's number: sum 408, check digit 1 (reckoned by hand from the CFR's tables).
        let swapped = identity("1G4AH59H45G118314");
        assert_eq!(
            swapped,
            Identity::CheckDigit {
                given: '4',
                fits: '1'
            }
        );
    }

    #[test]
    fn other_forms_are_said_and_are_no_error() {
        assert_eq!(identity("  "), Identity::Missing);
        for (text, why) in [
            ("TR-118", "6 characters"),
            ("1G4AH59H45G11834I", "“I”"),
            ("1G4AH59H45G11834O", "“O”"),
            ("1G4AH59H45G1183Ω1", "“Ω”"),
            ("1G4AH59H45G1183\u{202e}1", "202e"),
        ] {
            let Identity::OtherForm(said) = identity(text) else {
                panic!("{text}: {:?}", identity(text));
            };
            assert!(said.contains(why), "{text}: {said}");
        }
    }
}
