//! Changes of a job's record: what of it is changed, for the name of the step.

/// A piece of the record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are the pieces of a record")]
pub enum Piece {
    Vehicle,
    Particulars,
    Arrival,
    Outcome,
    Codes,
    Modules,
    Parts,
    Work,
    FollowUp,
    Checks,
    Photos,
    SignOff,
    Amendments,
}

impl Piece {
    /// The name of the step.
    pub fn step(self) -> &'static str {
        match self {
            Self::Vehicle => "Edit the vehicle's particulars",
            Self::Particulars => "Edit date and technician",
            Self::Arrival => "Edit the arrival findings",
            Self::Outcome => "Edit cause and correction",
            Self::Codes => "Edit the codes",
            Self::Modules => "Edit the modules",
            Self::Parts => "Edit the parts",
            Self::Work => "Edit the minutes",
            Self::FollowUp => "Edit the follow-up work",
            Self::Checks => "Edit the functional check",
            Self::Photos => "Edit the photos",
            Self::SignOff => "Edit the sign-off",
            Self::Amendments => "Add to the signed record",
        }
    }
}
