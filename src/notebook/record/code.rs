//! Trouble codes in the form of SAE J2012 (ISO 15031-6), split into their fields.

/// A code, split.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TroubleCode {
    /// `P`, `C`, `B` or `U`.
    pub system: char,
    /// Second character, 0 to 3: who defined it.
    pub origin: u8,
    /// Its last three hexadecimal digits.
    pub number: u16,
    /// Failure type byte, where there is one.
    pub failure: Option<u8>,
}

impl TroubleCode {
    /// Reads a code as a scan shows it: `P0641`, `p0641-11`, `C1A22:1F`, `U0100 00`.
    ///
    /// # Errors
    /// What is not of that form, in words.
    ///
    /// ```
    /// use pinchpoint::notebook::TroubleCode;
    /// let code = TroubleCode::read("P0641-13").unwrap();
    /// assert_eq!((code.system, code.origin, code.number, code.failure), ('P', 0, 0x641, Some(0x13)));
    /// assert_eq!(code.failure_words(), Some("circuit open"));
    /// assert!(TroubleCode::read("X0641").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, String> {
        let text = text.trim().to_uppercase();
        let mut signs = text.chars();
        let system = signs.next().filter(|sign| "PCBU".contains(*sign));
        let system = system.ok_or("it begins with P, C, B or U")?;
        let origin = signs.next().and_then(|sign| sign.to_digit(4));
        let origin = origin.ok_or("its second character is 0, 1, 2 or 3")?;
        let mut number = 0;
        for _ in 0..3 {
            let digit = signs.next().and_then(|sign| sign.to_digit(16));
            number = number * 16 + digit.ok_or("three digits or letters A to F follow")?;
        }
        let rest: String = signs.collect();
        let failure = rest.trim_start_matches(['-', ':', ' ']);
        let failure = match (rest.is_empty(), failure.len()) {
            (true, _) => None,
            // The number reader alone would take a sign for a digit.
            (false, 2) if failure.chars().all(|sign| sign.is_ascii_hexdigit()) => {
                Some(u8::from_str_radix(failure, 16).map_err(|_| FAILURE_FORM)?)
            }
            _ => return Err(FAILURE_FORM.to_owned()),
        };
        Ok(Self {
            system,
            // Digits of base 4 and three of base 16 fit.
            origin: origin as u8,
            number: number as u16,
            failure,
        })
    }

    /// The two bytes on the bus: two bits for the system, two for the origin, twelve for the number.
    pub fn bytes(self) -> u16 {
        let system = match self.system {
            'C' => 1,
            'B' => 2,
            'U' => 3,
            _ => 0,
        };
        system << 14 | u16::from(self.origin) << 12 | self.number
    }

    /// The system in words.
    pub fn system_words(self) -> &'static str {
        match self.system {
            'C' => "chassis",
            'B' => "body",
            'U' => "network",
            _ => "powertrain",
        }
    }

    /// Who defined the code (memory, no source at hand): 0 the standard, 1 the maker, 2 the standard for powertrain and
    /// the maker otherwise, 3 either.
    pub fn origin_words(self) -> &'static str {
        match (self.origin, self.system) {
            (0, _) | (2, 'P') => "defined by the standard",
            (1 | 2, _) => "defined by the maker",
            _ => "reserved, or defined by either",
        }
    }

    /// The failure type in words: its own where it is one of the common ones, else its group.
    pub fn failure_words(self) -> Option<&'static str> {
        let byte = self.failure?;
        Some(match byte {
            0x11 => "circuit short to ground",
            0x12 => "circuit short to battery",
            0x13 => "circuit open",
            0x14 => "circuit short to ground or open",
            0x15 => "circuit short to battery or open",
            0x16 => "circuit voltage below threshold",
            0x17 => "circuit voltage above threshold",
            0x18 => "circuit current below threshold",
            0x19 => "circuit current above threshold",
            0x1a => "circuit resistance below threshold",
            0x1b => "circuit resistance above threshold",
            0x1c => "circuit voltage out of range",
            0x1d => "circuit current out of range",
            0x1e => "circuit resistance out of range",
            0x1f => "circuit intermittent",
            0x21 => "signal amplitude below minimum",
            0x22 => "signal amplitude above maximum",
            0x23 => "signal stuck low",
            0x24 => "signal stuck high",
            0x29 => "signal invalid",
            0x2f => "signal erratic",
            0x31 => "no signal",
            _ => match byte >> 4 {
                0 => "no further information",
                1 => "general electrical failure",
                2 => "general signal failure",
                3 => "frequency or pulse-width failure",
                4 => "failure inside the system",
                5 => "programming failure",
                6 => "failure found by an algorithm",
                7 => "mechanical failure",
                8 => "bus or message failure",
                9 => "component failure",
                _ => "failure type not known here",
            },
        })
    }

    /// The code as it is usually written.
    pub fn written(self) -> String {
        let failure = self
            .failure
            .map_or_else(String::new, |byte| format!("-{byte:02X}"));
        format!("{}{}{:03X}{failure}", self.system, self.origin, self.number)
    }
}

const FAILURE_FORM: &str = "behind a dash stands a failure type of two digits or letters A to F";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_split_into_their_fields() {
        // Bytes by the encoding of SAE J2012 / ISO 15031-6 (derived); failure types as published (read).
        for (text, bytes, system, failure) in [
            ("P0642", 0x0642, "powertrain", None),
            ("u0100", 0xC100, "network", None),
            ("C0035", 0x4035, "chassis", None),
            ("B1234", 0x9234, "body", None),
            (" P3400 ", 0x3400, "powertrain", None),
            ("C1A22:1F", 0x5A22, "chassis", Some("circuit intermittent")),
            (
                "P0641-11",
                0x0641,
                "powertrain",
                Some("circuit short to ground"),
            ),
            (
                "P0641 12",
                0x0641,
                "powertrain",
                Some("circuit short to battery"),
            ),
            ("P064196", 0x0641, "powertrain", Some("component failure")),
            (
                "U0100-00",
                0xC100,
                "network",
                Some("no further information"),
            ),
            (
                "U0100-F0",
                0xC100,
                "network",
                Some("failure type not known here"),
            ),
        ] {
            let code = TroubleCode::read(text).expect(text);
            assert_eq!(code.bytes(), bytes, "{text}");
            assert_eq!(code.system_words(), system, "{text}");
            assert_eq!(code.failure_words(), failure, "{text}");
            assert_eq!(TroubleCode::read(&code.written()), Ok(code), "{text}");
        }
    }

    #[test]
    fn what_is_no_code_is_named() {
        for (text, named) in [
            ("", "P, C, B or U"),
            ("X0641", "P, C, B or U"),
            ("P4641", "0, 1, 2 or 3"),
            ("P06", "three digits"),
            ("P064G", "three digits"),
            ("P0641-1", "failure type"),
            ("P0641-1G", "failure type"),
            ("P0641-", "failure type"),
            ("P0641-111", "failure type"),
            ("P0641-Ω1", "failure type"),
            ("P0641-+1", "failure type"),
        ] {
            let error = TroubleCode::read(text).expect_err(text);
            assert!(error.contains(named), "{text}: {error}");
        }
    }
}
