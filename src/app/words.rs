//! Things in the trade's words: those of the explanations, and what only the window needs.

use std::path::Path;

pub use crate::explain::names::{point, state};

/// A list in words: `C1`, `C1 and C2`, `C1, C2 and C3`.
pub fn list<S: AsRef<str>>(items: impl IntoIterator<Item = S>) -> String {
    let items: Vec<S> = items.into_iter().collect();
    crate::explain::names::list(&items, "and")
}

/// Name of a file without its folders.
pub fn file(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |name| name.to_string_lossy().into_owned(),
    )
}
