//! Work and what it took: minutes, parts, follow-up work, and what was tried at the end.

use serde::{Deserialize, Serialize};

use crate::quantity::{Minutes, units::as_minutes};

/// Whether a step belongs to the loss that an insurer is asked to pay.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Relation {
    /// It does.
    LossRelated,
    /// The fault was there before.
    PreExisting,
    /// Not decided.
    #[default]
    Undecided,
}

impl Relation {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::LossRelated, Self::PreExisting, Self::Undecided];

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::LossRelated => "loss-related",
            Self::PreExisting => "pre-existing",
            Self::Undecided => "undecided",
        }
    }

    fn is_undecided(&self) -> bool {
        *self == Self::Undecided
    }
}

/// One step of work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// What was done.
    pub what: String,
    /// How long it took.
    #[serde(rename = "minutes", with = "crate::quantity::units::minutes")]
    pub took: Minutes,
    /// Whether it is billed.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub billable: bool,
    /// Whether it belongs to the loss.
    #[serde(default, skip_serializing_if = "Relation::is_undecided")]
    pub relation: Relation,
    /// Connector that was reached, where its minutes are worth remembering for the next vehicle.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reached: String,
    /// By whom.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

impl Work {
    /// Minutes that count; what is no sensible number counts nothing.
    pub fn minutes_worth(&self) -> f64 {
        let minutes = as_minutes(self.took);
        if minutes.is_finite() {
            minutes.max(0.0)
        } else {
            0.0
        }
    }
}

/// A part or material that was used.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartUsed {
    /// What it is.
    pub name: String,
    /// Its number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub number: String,
    /// How many or how much, with the unit, as written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub quantity: String,
    /// Where it went, by designation.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
}

/// Kind of work that follows a repair.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum FollowUpKind {
    /// Programming of a module.
    #[default]
    Programming,
    /// Set-up or teaching in.
    SetUp,
    /// Calibration.
    Calibration,
}

impl FollowUpKind {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Programming, Self::SetUp, Self::Calibration];

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Programming => "programming",
            Self::SetUp => "set-up",
            Self::Calibration => "calibration",
        }
    }
}

/// What a source says about follow-up work.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceSays {
    /// The source, and its edition.
    pub source: String,
    /// What it asks for.
    pub says: String,
}

/// Work that follows from the repair. Sources often disagree, so each is kept, and which one was followed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FollowUp {
    /// Kind.
    pub kind: FollowUpKind,
    /// What of.
    pub what: String,
    /// Which source says what.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<SourceSays>,
    /// Which one was followed, and why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub followed: String,
    /// Whether it is done.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub done: bool,
    /// By whom.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

/// Something tried at the end.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FunctionCheck {
    /// What.
    pub what: String,
    /// Whether it works; not tried when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub works: Option<bool>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

fn yes() -> bool {
    true
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_true(flag: &bool) -> bool {
    *flag
}
