//! What is written about a job beside circuit and log: the vehicle, codes, parts, minutes, follow-up work, sign-off.
//!
//! Facts only, all of them optional: an empty record is not written, and the file then stays readable for programs
//! that know version 1 only.

pub mod attachment;
pub mod code;
pub mod day;
pub mod doubts;
pub mod identity;
pub mod work;

use serde::{Deserialize, Serialize};

pub use attachment::Attachment;
pub use code::TroubleCode;
pub use doubts::doubts;
pub use identity::{Identity, identity};
pub use work::{FollowUp, FollowUpKind, FunctionCheck, PartUsed, Relation, SourceSays, Work};

use crate::quantity::Volts;

/// What the odometer showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mileage {
    /// Kilometres.
    #[serde(rename = "km")]
    Kilometres(u32),
    /// Miles.
    #[serde(rename = "miles")]
    Miles(u32),
}

/// The vehicle's particulars.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Particulars {
    /// Identification number; see [`identity()`] for what can be said of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub identification: String,
    /// Number plate.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plate: String,
    /// Odometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mileage: Option<Mileage>,
    /// Battery volts at arrival.
    #[serde(
        default,
        rename = "battery_v",
        with = "crate::quantity::units::volts::option",
        skip_serializing_if = "Option::is_none"
    )]
    pub battery: Option<Volts>,
}

/// A stored code, at arrival and after the work.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Code {
    /// As the scan shows it, e.g. `P0641-11`.
    pub code: String,
    /// What the scan says of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
    /// Module that stored it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub module: String,
    /// Whether it was there at arrival; nobody looked when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<bool>,
    /// Whether it was there in the scan after the work; nobody looked when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<bool>,
}

/// Whether a module answers the scan.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answering {
    /// The module, as the shop names it.
    pub module: String,
    /// At arrival; not tried when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<bool>,
    /// After the work; not tried when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<bool>,
}

/// Something added after the record was signed: corrections append and overwrite nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Amendment {
    /// Day, as written, e.g. `2031-04-03`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    /// By whom.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
    /// What is to be corrected or added.
    pub text: String,
}

/// Who stands behind the work.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignOff {
    /// Name; empty while nobody has signed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
    /// Day, as written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    /// Under which reservations, if any.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// The record of a job.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The vehicle.
    #[serde(default)]
    pub vehicle: Particulars,
    /// Day of the work, as written, e.g. `2031-04-02`.
    #[serde(default)]
    pub date: String,
    /// Who did the work.
    #[serde(default)]
    pub technician: String,
    /// What was found at arrival, before anything was touched.
    #[serde(default)]
    pub arrival: String,
    /// What was wrong, in the technician's words.
    #[serde(default)]
    pub cause: String,
    /// What was done about it.
    #[serde(default)]
    pub correction: String,
    /// What remains to be done or watched.
    #[serde(default)]
    pub remains: String,
    /// Codes.
    #[serde(default)]
    pub codes: Vec<Code>,
    /// Modules that answer.
    #[serde(default)]
    pub modules: Vec<Answering>,
    /// Parts that were used.
    #[serde(default)]
    pub parts: Vec<PartUsed>,
    /// Minutes, step by step.
    #[serde(default)]
    pub work: Vec<Work>,
    /// Programming, set-up and calibration that follow from the repair.
    #[serde(default)]
    pub follow_up: Vec<FollowUp>,
    /// What was tried at the end.
    #[serde(default)]
    pub checks: Vec<FunctionCheck>,
    /// Photos and other files.
    #[serde(default)]
    pub attachments: Vec<Attachment>,
    /// Who signed.
    #[serde(default)]
    pub sign_off: SignOff,
    /// What was added after that.
    #[serde(default)]
    pub amendments: Vec<Amendment>,
}

impl Record {
    /// Whether nothing is written in it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether somebody has signed.
    pub fn is_signed(&self) -> bool {
        !self.sign_off.by.trim().is_empty()
    }

    /// Adds a photo or another file, unless it has the same content as one that is there: then the answer is no. Under a
    /// signature it leaves a line among the additions.
    pub fn attach(&mut self, new: Attachment) -> bool {
        if self.attachments.iter().any(|old| old.sha256 == new.sha256) {
            return false;
        }
        if self.is_signed() {
            self.amendments.push(Amendment {
                text: format!("The file “{}” was added.", new.name),
                ..Amendment::default()
            });
        }
        self.attachments.push(new);
        true
    }

    /// Minutes in all, and of those the billable ones.
    pub fn minutes(&self) -> (f64, f64) {
        let sum = |billable: bool| {
            let counted = self.work.iter().filter(|w| w.billable || !billable);
            counted.map(Work::minutes_worth).sum()
        };
        (sum(false), sum(true))
    }
}
