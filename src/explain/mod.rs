//! Findings in plain words: the answer, the sum behind it, what each reading says, and what to be careful with.
//!
//! Words only: nothing here changes a finding. Numbers are the findings' own.

pub mod cautions;
pub mod headline;
pub mod looked;
pub mod module;
pub mod names;
pub mod next;
pub mod proof;
pub mod readings;
mod region;
mod since_repair;
pub mod steps;
pub mod sum;
pub mod torn;

pub use cautions::{Caution, cautions};
pub use headline::{Headline, headline};
pub use looked::{NOTHING, looked_at};
pub use next::{NextWords, OutcomeWords, TestWords, next_words};
pub use proof::{ProofLine, ProofWords, proof_words};
pub use readings::{ReadingLine, reading_lines};
pub use since_repair::{nothing_wrong, still_there};
pub use steps::{Step, steps};
pub use sum::{SumLine, WorkedSum, telling, worked_sum, worked_sum_of};
pub use torn::{Torn, torn};
