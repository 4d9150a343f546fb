//! Own widgets: text, buttons, fields and cards in the theme's dress, each with an accessible name.

mod button;
mod card;
mod field;
mod kept;
mod owner;
mod plot;
pub mod text;

pub use button::{
    Tone, button_ui, choice_ui, focus_ring, key_ui, link_ui, named_link_ui, pill_ui, tick_ui,
};
pub use card::{card_ui, notice_ui};
pub use field::{Field, begin_here, choose_all, field_ui, make_room, text_block_ui};
pub use kept::{NotTaken, kept_ui, not_taken, take_typed};
pub use owner::{job_id, show_job};
pub use plot::still_plot;
pub use text::{fitted, fold_ui, label_ui, line_ui, shortened, shown, text_ui};
