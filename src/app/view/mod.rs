//! What the drawing code shows, as plain text and numbers: the log, the suspects, what is unplugged.

mod answer;
mod bench;
mod log;

pub use answer::{Headline, SuspectRow, headline, suspects};
pub use bench::{Loose, Tag, loose, tags};
pub use log::{LogRow, log_rows};
