//! What the drawing code shows, as plain text and numbers: the answer, the log, the points, the proof.

mod answer;
mod bench;
mod log;
mod proof;

pub use answer::{Headline, SuspectRow, headline, suspects};
pub use bench::{Tag, tags};
pub use log::{LogRow, log_rows};
pub use proof::{Proof, ProofRow, proof};
