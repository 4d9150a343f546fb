//! What the drawing code shows, as plain text and numbers: the answer, the log, the points.

mod answer;
mod bench;
mod history;
mod listing;
mod log;

pub use answer::{Headline, SuspectRow, headline, in_order, suspects};
pub use bench::{Tag, tags};
pub use history::{Past, history};
pub use listing::listing;
pub use log::{LogRow, Sort, log_rows};
