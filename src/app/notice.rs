//! What is said to the person: what happened, where, and what to do.

/// How much a notice weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Good to know.
    News,
    /// Something was not done, or needs doing.
    Trouble,
}

/// Something to tell: what happened, where, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// To take it away by.
    pub id: u64,
    /// How much it weighs.
    pub weight: Weight,
    /// Part, log line or file it points at; empty for the job as a whole.
    pub place: String,
    /// What happened.
    pub what: String,
    /// What to do; empty where there is nothing to do.
    pub remedy: String,
}

/// A refusal: where, what, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Part, log line or file.
    pub place: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl Refusal {
    /// A refusal from its three parts.
    pub fn new(
        place: impl Into<String>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            place: place.into(),
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    /// What happened and what to do, to stand beside its cause.
    pub fn sentence(&self) -> String {
        if self.remedy.is_empty() {
            self.what.clone()
        } else {
            format!("{}. {}", self.what, self.remedy)
        }
    }
}
