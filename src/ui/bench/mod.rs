//! The bench page: the harness, what it reads, what that means, and what to do next.

mod answer;
mod cautions;
mod chance;
mod draw;
mod entry;
mod hands;
mod harness;
mod harness_card;
mod outline;
mod page;
mod place;
mod props;
mod readings;
pub mod sheet;
mod spot;
mod sum;
mod suspicion;
mod tag;
pub mod view;
mod voltage;

pub use entry::value_box;
pub use page::{Looks, bench_ui};
pub use readings::open_line;
