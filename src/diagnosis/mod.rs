//! The one data path: circuit and readings in, findings out. Pure: same input, same answer, to the bit.

pub mod findings;

pub use findings::*;

/// Answers a question.
pub fn diagnose(_question: &Question<'_>) -> Findings {
    Findings {
        problems: Vec::new(),
        suspects: Vec::new(),
        groups: Vec::new(),
        combinations: Vec::new(),
        healthy: 0.5,
        unexplained: 0.5,
        fit: Fit {
            tail: 0.5,
            chi_squared: 0.0,
            readings: 0,
        },
        readings: Vec::new(),
        points: Vec::new(),
        densities: Vec::new(),
        resistance: Vec::new(),
        modules: Vec::new(),
    }
}
