//! Questions in front of everything: a new feed, what to open, where to save, what to do before leaving.

mod files;
mod guard;
mod quick;

use egui::{Context, CornerRadius, Frame, Id, Margin, Modal, ScrollArea, Stroke, Ui, vec2};

use self::{
    files::{open_ui, proposed_name, save_ui},
    guard::guard_ui,
    quick::quick_start_ui,
};
use super::{
    act::Act,
    theme::{CARD_RADIUS, LINE, Theme},
};
use crate::app::Model;

/// A question and what is typed into it so far.
#[derive(Clone, Debug, PartialEq)]
pub enum Dialog {
    /// A new feed from three answers.
    QuickStart {
        /// Which of the nominal volts; one more than the last for others.
        nominal: usize,
        /// Other nominal volts, as typed.
        other: String,
        /// How many sensors, as typed.
        sensors: String,
        /// Whether there are inline connectors.
        inline: bool,
        /// Whether each sensor has a return wire to the module.
        returns: bool,
    },
    /// What to open.
    Open {
        /// Path as typed.
        path: String,
    },
    /// Where to save.
    Save {
        /// Path as typed.
        path: String,
    },
}

impl Dialog {
    /// A new feed.
    pub fn quick_start() -> Self {
        Self::QuickStart {
            nominal: 0,
            other: String::new(),
            sensors: "6".to_owned(),
            inline: true,
            returns: false,
        }
    }

    /// What to open.
    pub fn open() -> Self {
        Self::Open {
            path: String::new(),
        }
    }

    /// Where to save; a name is proposed from the job.
    pub fn save(model: &Model) -> Self {
        let path = model.path.as_ref().map_or_else(
            || proposed_name(&model.job),
            |path| path.display().to_string(),
        );
        Self::Save { path }
    }
}

/// Shows the question, if there is one.
pub fn dialog_ui(
    ctx: &Context,
    theme: &Theme,
    model: &Model,
    dialog: &mut Option<Dialog>,
    acts: &mut Vec<Act>,
) {
    if let Some(guard) = &model.guard {
        sheet_ui(ctx, theme, "before leaving", |ui| {
            guard_ui(ui, theme, guard, acts)
        });
        return;
    }
    let Some(open) = dialog else {
        return;
    };
    let shut = sheet_ui(ctx, theme, "question", |ui| match open {
        Dialog::QuickStart { .. } => quick_start_ui(ui, theme, open, acts),
        Dialog::Open { path } => open_ui(ui, theme, model, path, acts),
        Dialog::Save { path } => save_ui(ui, theme, path, acts),
    });
    if shut {
        acts.push(Act::Close);
    }
}

/// Answers whether Escape or a click beside asks to take the question away.
fn sheet_ui(ctx: &Context, theme: &Theme, id: &str, content: impl FnOnce(&mut Ui)) -> bool {
    let c = &theme.colour;
    let frame = Frame::new()
        .fill(c.sheet)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin::same(22));
    let room = ctx.content_rect();
    Modal::new(Id::unique(id))
        .frame(frame)
        .show(ctx, |ui| {
            ui.set_width((room.width() - 60.0).clamp(200.0, 480.0));
            ui.spacing_mut().item_spacing = vec2(theme.size.gap, 10.0);
            ScrollArea::vertical()
                .max_height((room.height() - 110.0).max(120.0))
                .min_scrolled_height((room.height() - 110.0).clamp(120.0, 560.0))
                .show(ui, content);
        })
        .should_close()
}
