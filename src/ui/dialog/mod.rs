//! Questions in front of everything: a new feed, what to open, where to save, what to do before leaving.

mod commands;
mod export;
mod files;
mod guard;
mod help;
mod list;
mod looked;
mod meter;
mod paths;
mod quick;
mod reading;
mod small;

use std::path::PathBuf;

use egui::{Context, CornerRadius, Frame, Id, Margin, Modal, ScrollArea, Stroke, Ui, vec2};

use self::{
    commands::commands_ui,
    export::export_ui,
    files::{Taken, open_ui, proposed_path, save_ui},
    guard::guard_ui,
    help::help_ui,
    list::list_ui,
    looked::looked_ui,
    meter::{MeterDraft, meter_ui},
    paths::path_ui,
    quick::quick_start_ui,
    reading::reading_ui,
    small::{clip_on_ui, rail_ui},
};
pub use self::{
    looked::{LookDraft, none_found},
    reading::ReadingDraft,
};
pub use paths::{PathAsk, absolute};

use super::{
    act::Act,
    bench::Looks,
    picture::Picture,
    theme::{CARD_RADIUS, LINE, Theme},
};
use crate::{
    app::{FileCommand, Model, model::Ask},
    circuit::Point,
};

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
        /// Names of the sensors with commas in between, as typed.
        names: String,
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
        /// Another file is there, and whoever typed the path was told so.
        taken: Option<Taken>,
    },
    /// Something else that a path answers.
    Path {
        /// What it is asked for.
        ask: PathAsk,
        /// Path as typed.
        path: String,
    },
    /// Which command.
    Commands {
        /// What is searched for.
        text: String,
        /// Which of those found is chosen.
        chosen: usize,
    },
    /// The first minute, the keys, the cautions.
    Help,
    /// Which meter.
    Meter(MeterDraft),
    /// A line of the log, with how the circuit stood.
    Reading(ReadingDraft),
    /// A place that was looked at.
    Looked(LookDraft),
    /// A rail of how many volts.
    Rail {
        /// Volts as typed.
        volts: String,
    },
    /// A resistor of how many ohms is clipped on, and where to.
    ClipOn {
        /// One end.
        from: Point,
        /// Ohms as typed.
        ohms: String,
        /// The other end as typed.
        to: String,
    },
    /// Rows of a spreadsheet.
    List {
        /// Where the sensors hang.
        after: Point,
        /// The rows.
        text: String,
    },
    /// Which picture, and where to.
    Export {
        /// Which.
        picture: Picture,
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
            names: String::new(),
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

    /// Where to save.
    pub fn save(model: &Model) -> Self {
        let typed = model
            .not_saved()
            .map(|(path, _)| path.display().to_string());
        let path = typed.unwrap_or_else(|| Self::save_path(model));
        Self::Save { path, taken: None }
    }

    /// The job's own file; where it has none, a free name that is looked for on the disk.
    pub fn save_path(model: &Model) -> String {
        model.path.as_ref().map_or_else(
            || {
                // A new job goes into the notebook, if there is one.
                let folder = model.notebook.folder.clone().unwrap_or_default();
                proposed_path(&folder, &model.job).display().to_string()
            },
            |path| path.display().to_string(),
        )
    }

    /// Something that a path answers.
    pub fn path(ask: PathAsk, path: String) -> Self {
        Self::Path { ask, path }
    }

    /// Which command.
    pub fn commands() -> Self {
        Self::Commands {
            text: String::new(),
            chosen: 0,
        }
    }

    /// Which meter.
    pub fn meter(model: &Model) -> Self {
        Self::Meter(MeterDraft::of(&model.job.meter))
    }

    /// Another rail; a battery's volts are proposed.
    pub fn rail() -> Self {
        Self::Rail {
            volts: "12".to_owned(),
        }
    }

    /// A resistor at a point; a few milliamperes to battery negative are proposed.
    pub fn clip_on(from: Point) -> Self {
        Self::ClipOn {
            from,
            ohms: "1000".to_owned(),
            to: Point::battery_negative().shown(),
        }
    }

    /// A list of sensors to hang from a point.
    pub fn list(after: Point, text: String) -> Self {
        Self::List { after, text }
    }

    /// A picture beside the job's file.
    pub fn export(model: &Model) -> Self {
        let path = PathBuf::from(Self::save_path(model)).with_extension("svg");
        Self::Export {
            picture: Picture::default(),
            path: path.display().to_string(),
        }
    }
}

/// Shows the question, if there is one.
pub fn dialog_ui(
    ctx: &Context,
    theme: &Theme,
    model: &Model,
    looks: &Looks,
    dialog: &mut Option<Dialog>,
    acts: &mut Vec<Act>,
) {
    // Where to save is asked in the midst of leaving, and the leaving waits for it.
    let asked = matches!(dialog, Some(Dialog::Save { .. }));
    let guard = model.guard.as_ref();
    if let Some(guard) = guard.filter(|guard| guard.ask != Ask::Saving || !asked) {
        sheet_ui(ctx, theme, "before leaving", |ui| {
            guard_ui(ui, theme, guard, acts)
        });
        return;
    }
    let Some(open) = dialog else {
        return;
    };
    let shut = sheet_ui(ctx, theme, "question", |ui| match open {
        Dialog::QuickStart { .. } => quick_start_ui(ui, theme, model, open, acts),
        Dialog::Open { path } => open_ui(ui, theme, model, path, acts),
        Dialog::Save { path, taken } => save_ui(ui, theme, model, (path, taken), acts),
        Dialog::Path { ask, path } => path_ui(ui, theme, model, (ask, path), acts),
        Dialog::Commands { text, chosen } => {
            commands_ui(ui, theme, model, looks, (text, chosen), acts)
        }
        Dialog::Help => help_ui(ui, theme, acts),
        Dialog::Reading(draft) => reading_ui(ui, theme, model, draft, acts),
        Dialog::Looked(draft) => looked_ui(ui, theme, model, draft, acts),
        Dialog::Meter(draft) => meter_ui(ui, theme, draft, acts),
        Dialog::Rail { volts } => rail_ui(ui, theme, volts, acts),
        Dialog::ClipOn { from, ohms, to } => clip_on_ui(ui, theme, model, from, (ohms, to), acts),
        Dialog::List { after, text } => list_ui(ui, theme, after, text, acts),
        Dialog::Export { picture, path } => export_ui(ui, theme, picture, path, acts),
    });
    if shut {
        acts.push(Act::Close);
        if matches!(open, Dialog::Save { .. }) {
            acts.push(FileCommand::SaveCancelled.into());
        }
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
            ui.set_width((room.width() - 60.0).clamp(200.0, 560.0));
            ui.spacing_mut().item_spacing = vec2(theme.size.gap, 10.0);
            ScrollArea::vertical()
                .max_height((room.height() - 110.0).max(120.0))
                .min_scrolled_height((room.height() - 110.0).max(120.0))
                .show(ui, content);
        })
        .should_close()
}
