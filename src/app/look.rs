//! How the screen looks and which page is in sight; belongs to the person, not to the job.

use serde::{Deserialize, Serialize};

/// A page of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the variants are the names of the pages")]
pub enum Page {
    #[default]
    Bench,
    Job,
    Notebook,
    Practice,
}

/// Every page in the order of the banner.
pub const PAGES: [Page; 4] = [Page::Bench, Page::Job, Page::Notebook, Page::Practice];

impl Page {
    /// Its name in the banner.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bench => "Bench",
            Self::Job => "Job",
            Self::Notebook => "Notebook",
            Self::Practice => "Practice",
        }
    }
}

/// Colours for daylight or for a dark bay.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the variants are the names of the themes")]
pub enum Theme {
    #[default]
    Day,
    Dim,
}

/// Smallest and largest size of everything, percent.
pub const SCALE_RANGE: (u16, u16) = (80, 250);

/// How the screen looks; belongs to the person, not to the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Theme.
    #[serde(default)]
    pub theme: Theme,
    /// Size of everything, percent.
    #[serde(default = "usual_scale")]
    pub scale: u16,
    /// Large targets.
    #[serde(default)]
    pub glove: bool,
}

fn usual_scale() -> u16 {
    100
}

impl Default for Look {
    fn default() -> Self {
        Self {
            theme: Theme::Day,
            scale: usual_scale(),
            glove: false,
        }
    }
}
