//! Practice without its drawing: what is chosen, the vehicle under test, the look back, records, exercises that a trainer
//! makes. The job on the bench is never touched.

mod command;
mod diary;
mod files;
mod page;
mod room;
mod state;
mod words;
mod work;

pub use command::Command;
pub use diary::Left;
pub use files::{file_of, name_of};
pub use page::{group_page, trainee_page};
pub use room::Room;
pub use state::{
    Back, Draft, FAULTS, Fault, Gauge, Go, Kept, Pending, Practice, STAGES, Source, Stage, Trainee,
    Wish,
};
pub use words::{step_words, stood, truth};
pub use work::foretaste;
