//! The circuit as an indented text, one line per wire and what it leads to, and back.
//!
//! ```text
//! M1 5V 2%
//!   W1 1.2m 0.5 RD C1 5min
//!     W2 0.8m 0.5 RD SP1
//!       W3 0.7m 0.35 RDWH X1 3min S1 8mA "Intake pressure"
//!       W4 0.9m 0.35 RDYE X2 3min S2 5kΩ
//! M1.return G1
//!   W5 1.2m 0.5 BK C1.2
//!     W6 0.8m 0.5 BK SP2
//!       W7 0.7m 0.35 BKWH X1.2 S1.return
//!       W8 0.9m 0.35 BKYE X2.2 S2.return
//! ```
//!
//! A line that is indented more than the one above hangs downstream of it. On a line stand parts, each downstream of the
//! one before, and after each part what is known of it, in any order:
//!
//! | part | designation | after it |
//! | --- | --- | --- |
//! | module | `M1` (its feed), `M1.feed2`, `M1.return` | `5V`, tolerance `2%`, source `3Ω`, `latches`, `more` (members not drawn) |
//! | wire | `W1` | length `1.2m` (unknown without it), `0.5` mm² or `awg20`, colour `RDWH` |
//! | connector | `C1` or `X1` (pin 1), `C1.2` (pin 2), `C1.2f` (pin 2 entered from its far side) | minutes `5min`, `3pins`, `sealed` |
//! | splice | `SP1` | `more` |
//! | ground | `G1` | strap `0.01Ω` |
//! | fuse | `F1` (`F1.out` entered from behind) | `10A` |
//! | sensor | `S1` (its feed; the second time its return), `S1.return`, `S1.signal` | `8mA` with knee `2.5V`, or `5kΩ`; spread `10%`; signal `tap 0.5` |
//! | rail | `B1` | `12V`, source `0.01Ω` |
//! | battery negative | `negative` | |
//!
//! Modules, connectors, sensors and rails may have a name in quotes. A designation of another kind takes its class in front:
//! `sensor MAP-2 8mA`. A part that was named before is the same part, so a second wire can lead to it: that is how loops
//! and shared returns are written. Without a wire between them, a sensor sits right at a connector's pin and a ground point
//! right where it stands; elsewhere a wire of unknown length is drawn, unless `at` says that there is none (`SP1 at S1`).
//! A sensor whose return is not mentioned returns through the chassis.

mod keep;
mod place;
mod property;
mod read;
mod words;
mod write;

pub use write::outline;

use super::Circuit;
use crate::quantity::Volts;

/// Why a text is no outline.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what}; {remedy}")]
pub struct OutlineError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong there.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

/// Reads an outline. What it does not say has the defaults of [`super::stock`], and a module without volts has `nominal`.
///
/// ```
/// use pinchpoint::{circuit::outline::{from_outline, outline}, quantity::units::volts};
/// let circuit = from_outline("M1\n  SP1\n    X1 S1\n    X2 S2", volts(5.0)).unwrap();
/// assert_eq!(circuit.wires.len(), 3);
/// assert_eq!(circuit.loads[1].feed.to_string(), "X2.1f");
/// let error = from_outline("M1 5V\n  W1 1.2m 0.5 MAP", volts(5.0)).unwrap_err();
/// assert_eq!(
///     error.to_string(),
///     "line 2: “MAP” does not tell what it is; put its class in front, e.g. sensor MAP or connector MAP"
/// );
/// ```
///
/// # Errors
/// [`OutlineError`] for the first line that cannot be understood. The circuit may still need [`super::check`].
pub fn from_outline(text: &str, nominal: Volts) -> Result<Circuit, OutlineError> {
    read::read(text, nominal, &Circuit::default())
}

/// Reads an outline of a circuit that was edited. What an outline cannot say (places, contacts, bundles, current limits
/// and so on) and the order of the parts stay as they were for every designation that is still there.
///
/// # Errors
/// As for [`from_outline`].
pub fn revise(old: &Circuit, text: &str) -> Result<Circuit, OutlineError> {
    Ok(keep::keep(old, read::read(text, old.nominal_or_5(), old)?))
}
