//! The bench page: the harness, what it reads, what that means, and what to do next.

mod answer;
mod cautions;
mod chance;
mod draw;
mod drawing;
mod entry;
mod ground;
mod hands;
mod harness;
mod harness_card;
mod names;
mod outline;
mod page;
mod pan;
mod place;
mod props;
mod readings;
pub mod sheet;
mod spoken;
mod spot;
mod sum;
mod suspicion;
mod symbols;
mod tag;
pub mod view;
mod voltage;
mod walk;

pub use drawing::Drawing;
pub use entry::value_box;
pub use page::{Bench, Looks, bench_ui};
pub use readings::open_line;
