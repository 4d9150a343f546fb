//! Ink on the sheet: strokes, symbols and hatching, without any knowledge of what is selected or clicked.

mod hatch;
mod symbol;
mod wire;

pub use hatch::hatch_ui;
pub use symbol::{
    connector_ui, fuse_ui, ground_ui, happened_ui, load_ui, rail_ui, splice_ui, supply_ui,
    unknown_ui, wanted_ui,
};
pub use wire::{Look, thread_ui, wire_path, wire_ui};
